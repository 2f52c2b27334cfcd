// Package folder writes the files of a result whole or not at all, whatever stops the
// program: into a folder beside others, or as a folder that replaces an earlier result.
package folder

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"pourplane/plot/report"
	"pourplane/survey"
)

// leftovers lists the hidden files and folders on the disk while results are written. A
// signal removes them before the program ends. The lock is held while a file is created
// or names are exchanged, since a file that appears in a folder during its removal would
// keep the folder.
type leftovers struct {
	mu   sync.Mutex
	path map[string]bool
}

var hidden = &leftovers{path: map[string]bool{}}

// remove removes path.
func (l *leftovers) remove(path string) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.path, path)
	return removeResult(path)
}

// Clear removes what is hidden on the disk and keeps anything more from being written. It
// is called when a signal ends the program.
func Clear() { hidden.clear() }

// clear removes all of them. It keeps the lock, so that nothing more is written.
func (l *leftovers) clear() {
	l.mu.Lock()
	for path := range l.path {
		removeResult(path) // the program is ending: what cannot be removed is left
	}
}

// removeAll is os.RemoveAll; tests check the order of removal.
var removeAll = os.RemoveAll

// removeResult removes a file, or a folder with its manifest last. If a run is killed or
// a file cannot be removed, the rest is then still known as ours, see [sweep].
func removeResult(path string) error {
	entries, err := os.ReadDir(path)
	if err != nil {
		return removeAll(path) // a file, or nothing
	}
	for _, e := range entries {
		if e.Name() == "manifest.json" {
			continue
		}
		if err := removeAll(filepath.Join(path, e.Name())); err != nil {
			return err
		}
	}
	return removeAll(path)
}

// made creates a file or folder with an unused name that begins with prefix, and records
// it as hidden. Unlike the library's temporary files it has the permissions of the
// user's mask.
func made(prefix string, create func(name string) error) (name string, err error) {
	hidden.mu.Lock()
	defer hidden.mu.Unlock()
	for range 100 {
		name = prefix + strconv.FormatUint(rand.Uint64(), 36)
		if err = create(name); !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	if err == nil {
		hidden.path[name] = true
	}
	return name, err
}

// newFile creates a file, under the lock of [leftovers]. It is written without it: a signal
// need not wait for a large file.
func newFile(name string) (*os.File, error) {
	return os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
}

// write writes a file and syncs it to the disk.
func write(f *os.File, o report.Output) error {
	err := o.Write(f)
	return errors.Join(err, f.Sync(), f.Close())
}

// syncFolder syncs the names in a folder to the disk. Some file systems cannot; the
// files themselves are complete in any case.
func syncFolder(folder string) {
	if d, err := os.Open(folder); err == nil {
		d.Sync()
		d.Close()
	}
}

// makeFolder makes a folder and its missing parents. takeBack removes those that it
// made, if they are empty.
func makeFolder(folder string) (takeBack func(), err error) {
	var missing []string // the deepest first
	for at := filepath.Clean(folder); ; at = filepath.Dir(at) {
		if _, err := os.Lstat(at); !errors.Is(err, fs.ErrNotExist) {
			break
		}
		missing = append(missing, at)
	}
	takeBack = func() {
		for _, at := range missing {
			if os.Remove(at) != nil {
				return
			}
		}
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		takeBack()
		return nil, err
	}
	return takeBack, nil
}

// Write writes files into folder, which it makes if needed. It writes all of them to
// temporary names and then renames them, so that no reader sees half a file. If a rename
// fails, the earlier files are put back. It refuses to write over an input.
func Write(folder string, files []report.Output, inputs []string) (err error) {
	for _, in := range inputs {
		info, err := os.Stat(in)
		if err != nil {
			continue
		}
		for _, f := range files {
			if there, err := os.Stat(filepath.Join(folder, f.Name)); err == nil && os.SameFile(info, there) {
				return &survey.Error{Pos: survey.Pos{File: in}, Want: "results elsewhere: " + f.Name + " would replace this input"}
			}
		}
	}
	for _, f := range files {
		if there, err := os.Stat(filepath.Join(folder, f.Name)); err == nil && !there.Mode().IsRegular() {
			return fmt.Errorf("cannot write %s: something else has this name", filepath.Join(folder, f.Name))
		}
	}
	for up := folder; up != filepath.Dir(up); up = filepath.Dir(up) {
		if info, err := os.Stat(up); err == nil && !info.IsDir() {
			return isFile(up)
		}
	}
	takeBack, err := makeFolder(folder)
	if err != nil {
		return fmt.Errorf("cannot make the folder of results: %w", err)
	}
	defer func() {
		if err != nil {
			takeBack()
		}
	}()
	temporary := make([]string, 0, len(files))
	defer func() {
		for _, t := range temporary {
			err = errors.Join(err, hidden.remove(t))
		}
	}()
	for _, f := range files {
		var file *os.File
		t, err := made(filepath.Join(folder, "."+f.Name+".pourplane-"), func(name string) (err error) {
			file, err = newFile(name)
			return err
		})
		temporary = append(temporary, t)
		if err == nil {
			err = write(file, f)
		}
		if err != nil {
			return fmt.Errorf("cannot write %s into %s: %w", f.Name, folder, err)
		}
	}
	hidden.mu.Lock() // all or none, whatever signal comes
	defer syncFolder(folder)
	defer hidden.mu.Unlock()
	var undo []func() error
	for i, f := range files {
		to := filepath.Join(folder, f.Name)
		old := temporary[i] + ".old"
		switch err := os.Link(to, old); {
		case err == nil:
			undo = append(undo, func() error { return os.Rename(old, to) })
			defer os.Remove(old)
		case errors.Is(err, fs.ErrNotExist):
			undo = append(undo, func() error { return os.Remove(to) })
		default: // a file system without links cannot put files back
			undo = append(undo, func() error { return nil })
		}
		if err := os.Rename(temporary[i], to); err != nil {
			err = fmt.Errorf("cannot write %s: %w", f.Name, err)
			for _, u := range slices.Backward(undo[:i]) {
				err = errors.Join(err, u())
			}
			return err
		}
		delete(hidden.path, temporary[i])
	}
	return nil
}

// Replace replaces a folder by outputs. It writes them beside the folder, syncs
// them to the disk, and exchanges the two in one step if the system can, so that the
// name always has a complete result. Then it removes the earlier result. It refuses a
// folder that holds an input, or anything that is not an unchanged result of ours. Two
// runs at once take turns.
func Replace(folder string, outputs []report.Output, inputs []string) (err error) {
	if folder, err = resolved(folder); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(folder), 0o777); err != nil {
		return fmt.Errorf("cannot make the folder of results: %w", err)
	}
	unlock, alone, err := lockFolder(filepath.Dir(folder))
	if err != nil {
		return fmt.Errorf("cannot make the folder of results: %w", err)
	}
	defer unlock()
	if err := putBack(folder); err != nil {
		return fmt.Errorf("cannot put back the result that a stopped run has left beside %s: %w", folder, err)
	}
	there, err := MayReplace(folder, inputs)
	if err != nil {
		return err
	}
	fresh, err := made(filepath.Join(filepath.Dir(folder), freshName(folder)), func(name string) error { return os.Mkdir(name, 0o777) })
	if err != nil {
		return fmt.Errorf("cannot write beside %s: %w", folder, err)
	}
	defer func() { err = errors.Join(err, hidden.remove(fresh)) }()
	// The manifest is written first, so that the files of a killed run are known as
	// ours.
	for _, o := range slices.Concat(outputs[len(outputs)-1:], outputs[:len(outputs)-1]) {
		hidden.mu.Lock()
		file, err := newFile(filepath.Join(fresh, o.Name))
		hidden.mu.Unlock()
		if err == nil {
			err = write(file, o)
		}
		if err != nil {
			return fmt.Errorf("cannot write %s: %w", o.Name, err)
		}
	}
	syncFolder(fresh)
	if err := put(fresh, folder, there); err != nil {
		return fmt.Errorf("cannot replace %s: %w", folder, err)
	}
	syncFolder(filepath.Dir(folder))
	sweep(folder, alone)
	return nil
}

// resolved returns the target of a folder of results. A link to a folder stays a link.
func resolved(folder string) (string, error) {
	folder, err := filepath.Abs(folder)
	if err != nil {
		return "", fmt.Errorf("cannot make the folder of results: %w", err)
	}
	if real, err := filepath.EvalSymlinks(folder); err == nil {
		return real, nil
	}
	if info, err := os.Lstat(folder); err == nil && info.Mode()&os.ModeSymlink != 0 {
		return "", &survey.Error{Pos: survey.Pos{File: folder}, Found: "a link to nothing", Want: "a folder, or the name of a new one", Hint: "--out DIR"}
	}
	return folder, nil
}

// MayReplace refuses a folder that results must not replace, and reports whether the
// folder exists.
func MayReplace(folder string, inputs []string) (there bool, err error) {
	if folder, err = resolved(folder); err != nil {
		return false, err
	}
	info, err := os.Stat(folder)
	switch {
	case err != nil:
		return false, nil // writing reports the error
	case !info.IsDir():
		return true, isFile(folder)
	}
	return true, earlierResult(folder, inputs)
}

// isFile refuses a file in place of the folder of results. The name may be that of the survey or
// of an outline, typed after the wrong option.
func isFile(name string) error {
	name = filepath.Clean(name)
	return &survey.Error{Pos: survey.Pos{File: name}, Found: "a file", Want: "a folder for the results, or the name of a new one", Hint: "choose another name, such as " + strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)) + "-result"}
}

// put gives fresh the name of folder, and if folder exists gives it the name of fresh:
// in one step, or, if the system has none, in three steps that are undone on failure. A
// signal waits.
func put(fresh, folder string, there bool) error {
	hidden.mu.Lock()
	defer hidden.mu.Unlock()
	if !there {
		return os.Rename(fresh, folder)
	}
	err := swap(folder, fresh)
	if err == nil || !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	old := fresh + oldEnd
	if err := os.Rename(folder, old); err != nil {
		return err
	}
	if err := os.Rename(fresh, folder); err != nil {
		return errors.Join(err, os.Rename(old, folder))
	}
	return os.Rename(old, fresh)
}

// oldEnd is the ending of an earlier result during an exchange in steps.
const oldEnd = ".old"

// putBack restores the name of an earlier result, if a run was stopped between two steps
// of an exchange.
func putBack(folder string) error {
	if _, err := os.Lstat(folder); !errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	beside, err := os.ReadDir(filepath.Dir(folder))
	if err != nil {
		return err
	}
	newest, at := "", time.Time{}
	for _, one := range beside {
		name := filepath.Join(filepath.Dir(folder), one.Name())
		if !strings.HasPrefix(one.Name(), freshName(folder)) || !strings.HasSuffix(one.Name(), oldEnd) || madeBefore(name) == nil {
			continue
		}
		if info, err := os.Lstat(name); err == nil && info.IsDir() && info.ModTime().After(at) {
			newest, at = name, info.ModTime()
		}
	}
	if newest == "" {
		return nil
	}
	return os.Rename(newest, folder)
}

// madeBefore returns the SHA-256 of each result in the manifest of a folder, nil if it
// has no manifest of ours.
func madeBefore(folder string) map[string]string {
	text, err := os.ReadFile(filepath.Join(folder, "manifest.json"))
	var m Manifest
	if err != nil || json.Unmarshal(text, &m) != nil || m.Program != Program {
		return nil
	}
	made := map[string]string{}
	for _, o := range m.Outputs {
		made[o.Name] = o.SHA256
	}
	return made
}

// freshName returns the beginning of the names of the hidden folders in which results
// are written before they replace a folder.
func freshName(folder string) string { return "." + filepath.Base(folder) + ".pourplane-" }

// sweep removes what a killed run has left beside the folder: hidden folders of its name
// that contain only results. It is called when the new result has its name. alone means
// that this run holds the lock for such folders; otherwise they must be older than any
// run takes.
func sweep(folder string, alone bool) {
	anyRun := 24 * time.Hour
	if alone {
		anyRun = 0
	}
	beside, err := os.ReadDir(filepath.Dir(folder))
	if err != nil {
		return // the result is complete; leftovers do no harm
	}
	for _, one := range beside {
		if !strings.HasPrefix(one.Name(), freshName(folder)) {
			continue
		}
		name := filepath.Join(filepath.Dir(folder), one.Name())
		info, err := os.Lstat(name)
		if err != nil || !info.IsDir() || time.Since(info.ModTime()) < anyRun {
			continue
		}
		entries, err := os.ReadDir(name)
		made := madeBefore(name)
		if err == nil && !slices.ContainsFunc(entries, func(e os.DirEntry) bool { return made[e.Name()] == "" && e.Name() != "manifest.json" }) {
			removeResult(name) // what cannot be removed is left
		}
	}
}

// earlierResult refuses a folder that run has not made, that somebody has added to or
// changed, that holds an input, or that cannot be emptied.
func earlierResult(folder string, inputs []string) error {
	refuse := func(found, want string) error {
		return &survey.Error{Pos: survey.Pos{File: folder}, Found: found, Want: want, Hint: "--out DIR"}
	}
	for _, in := range inputs {
		if real, err := filepath.EvalSymlinks(in); err == nil {
			in = real
		}
		abs, errIn := filepath.Abs(in)
		own, errOwn := filepath.Abs(folder)
		if errIn == nil && errOwn == nil && strings.HasPrefix(abs, own+string(filepath.Separator)) {
			return &survey.Error{Pos: survey.Pos{File: in}, Want: "results elsewhere: the folder is replaced as a whole, and this input is in it", Hint: "--out DIR"}
		}
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return fmt.Errorf("cannot look into %s: %w", folder, err)
	}
	if len(entries) == 0 {
		return nil
	}
	const other = "a folder that holds other things than results"
	made := madeBefore(folder)
	if made == nil {
		return refuse(other, "an empty folder, a new one, or one that run has made")
	}
	for _, e := range entries {
		name := e.Name()
		if name == "manifest.json" {
			continue
		}
		sum, ours := made[name]
		b, err := os.ReadFile(filepath.Join(folder, name))
		switch {
		case !ours || err != nil:
			return refuse(name+", which is not ours", "only results: the folder is replaced as a whole. Move it, or choose another --out")
		case Sum(name, b).SHA256 != sum:
			return refuse(name+", changed since run made it", "results as they were made: the folder is replaced as a whole. Move that file away, or delete it")
		}
	}
	probe, err := os.CreateTemp(folder, ".can-it-be-emptied")
	if err != nil {
		return fmt.Errorf("cannot replace %s: %w", folder, err)
	}
	return errors.Join(probe.Close(), os.Remove(probe.Name()))
}
