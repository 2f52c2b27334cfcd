//go:build unix

package folder

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"pourplane/plot/report"
)

// results returns outputs with their manifest last, as run makes them.
func results(t *testing.T, text string) []report.Output {
	t.Helper()
	a := report.Output{Name: "a.txt", Data: []byte(text)}
	list, err := json.Marshal(Manifest{Program: Program, Outputs: []report.FileSum{Sum(a.Name, a.Data)}})
	if err != nil {
		t.Fatal(err)
	}
	return []report.Output{a, {Name: "manifest.json", Data: list}}
}

// listing lists the files in a folder.
func listing(t *testing.T, folder string) []string {
	t.Helper()
	all, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range all {
		out = append(out, e.Name())
	}
	return out
}

func holds(t *testing.T, folder, want string) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(folder, "a.txt"))
	if err != nil || string(b) != want {
		t.Errorf("%s holds %q (%v), want %q", folder, b, err, want)
	}
}

// A result is replaced as a whole, and nothing is left beside it. The exchange is one
// step if the system can, so that the folder always exists.
func TestResultHasItsNameAtAnyTime(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "hall")
	if err := Replace(folder, results(t, "0"), nil); err != nil {
		t.Fatal(err)
	}
	if err := swap(folder, folder); errors.Is(err, errors.ErrUnsupported) {
		t.Skip("this system exchanges in steps")
	}
	stop := make(chan struct{})
	var wait sync.WaitGroup
	missed := 0
	wait.Go(func() {
		for {
			select {
			case <-stop:
				return
			default:
				if _, err := os.Lstat(folder); err != nil {
					missed++
				}
			}
		}
	})
	for range 100 {
		if err := Replace(folder, results(t, "1"), nil); err != nil {
			t.Fatal(err)
		}
	}
	close(stop)
	wait.Wait()
	if missed > 0 {
		t.Errorf("%d times there was no folder of the name", missed)
	}
	holds(t, folder, "1")
	if got := listing(t, dir); !slices.Equal(got, []string{"hall"}) {
		t.Errorf("left beside it: %q", got)
	}
}

// A run that was killed between the steps of an exchange left the earlier result without
// its name. The next run restores the name first, so that the result is there even if
// the new one cannot be written.
func TestEarlierResultIsPutBack(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "hall")
	if err := Replace(folder, results(t, "kept"), nil); err != nil {
		t.Fatal(err)
	}
	old := filepath.Join(dir, freshName(folder)+"1"+oldEnd)
	if err := os.Rename(folder, old); err != nil {
		t.Fatal(err)
	}
	long := time.Now().Add(-48 * time.Hour)
	if err := os.Chtimes(old, long, long); err != nil {
		t.Fatal(err)
	}
	bad := append([]report.Output{{Name: "no/such/folder.txt", Data: nil}}, results(t, "new")...)
	if err := Replace(folder, bad, nil); err == nil {
		t.Fatal("a result that cannot be written was")
	}
	holds(t, folder, "kept")
	if err := Replace(folder, results(t, "new"), nil); err != nil {
		t.Fatal(err)
	}
	holds(t, folder, "new")
	if got := listing(t, dir); !slices.Equal(got, []string{"hall"}) {
		t.Errorf("left beside it: %q", got)
	}
}

// Leftovers of a killed run are removed only when a new result is complete: a full disk
// keeps what it has.
func TestLeftoversGoLast(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "hall")
	left := filepath.Join(dir, freshName(folder)+"7")
	if err := Replace(left, results(t, "left"), nil); err != nil {
		t.Fatal(err)
	}
	long := time.Now().Add(-25 * time.Hour)
	if err := os.Chtimes(left, long, long); err != nil {
		t.Fatal(err)
	}
	bad := append([]report.Output{{Name: "no/such/folder.txt", Data: nil}}, results(t, "new")...)
	if err := Replace(folder, bad, nil); err == nil {
		t.Fatal("a result that cannot be written was")
	}
	holds(t, left, "left")
	if err := Replace(folder, results(t, "new"), nil); err != nil {
		t.Fatal(err)
	}
	if got := listing(t, dir); !slices.Equal(got, []string{"hall"}) {
		t.Errorf("left beside it: %q", got)
	}
}

// The manifest of the earlier result is removed last: if a run is killed between two
// removals, the rest is known as ours, and a later run removes it.
func TestWhatIsHalfRemovedIsOurs(t *testing.T) {
	stop := errors.New("killed")
	defer func() { removeAll = os.RemoveAll }()
	for kept := range 4 {
		dir := t.TempDir()
		folder := filepath.Join(dir, "hall")
		if err := Replace(folder, manyResults(t, "old"), nil); err != nil {
			t.Fatal(err)
		}
		done := 0
		removeAll = func(path string) error {
			if done++; done > kept {
				return stop
			}
			return os.RemoveAll(path)
		}
		if err := Replace(folder, manyResults(t, "new"), nil); !errors.Is(err, stop) {
			t.Fatalf("stopped after %d: %v", kept, err)
		}
		removeAll = os.RemoveAll
		left, err := filepath.Glob(filepath.Join(dir, freshName(folder)+"*"))
		if err != nil || len(left) != 1 {
			t.Fatalf("left %q (%v), want one folder", left, err)
		}
		if got := listing(t, left[0]); len(got) != 4-kept || !slices.Contains(got, "manifest.json") {
			t.Errorf("after %d removals there are %q", kept, got)
		}
		long := time.Now().Add(-25 * time.Hour)
		if err := os.Chtimes(left[0], long, long); err != nil {
			t.Fatal(err)
		}
		if err := Replace(folder, manyResults(t, "third"), nil); err != nil {
			t.Fatal(err)
		}
		holds(t, folder, "third")
		if got := listing(t, dir); !slices.Equal(got, []string{"hall"}) {
			t.Errorf("left beside it: %q", got)
		}
	}
}

// manyResults is a result with file names before and after the manifest's.
func manyResults(t *testing.T, text string) []report.Output {
	t.Helper()
	all := []report.Output{{Name: "a.txt", Data: []byte(text)}, {Name: "m.txt", Data: []byte(text)}, {Name: "z.txt", Data: []byte(text)}}
	m := Manifest{Program: Program}
	for _, o := range all {
		m.Outputs = append(m.Outputs, Sum(o.Name, o.Data))
	}
	list, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	return append(all, report.Output{Name: "manifest.json", Data: list})
}

// If one of several files cannot be renamed, the earlier files are unchanged.
func TestFilesAreAllReplacedOrNone(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a", "b"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("old"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	files := []report.Output{{Name: "new", Data: []byte("new")}, {Name: "a", Data: []byte("new")}, {Name: "gone/b", Data: []byte("new")}}
	if err := Write(dir, files, nil); err == nil {
		t.Fatal("written into a folder that is not there")
	}
	b, err := os.ReadFile(filepath.Join(dir, "a"))
	if err != nil || string(b) != "old" {
		t.Errorf("a holds %q, %v", b, err)
	}
	if got := listing(t, dir); !slices.Equal(got, []string{"a", "b"}) {
		t.Errorf("left: %q", got)
	}
	if err := Write(dir, files[:2], nil); err != nil {
		t.Fatal(err)
	}
	if got := listing(t, dir); !slices.Equal(got, []string{"a", "b", "new"}) {
		t.Errorf("there is %q", got)
	}
}

// Results have the permissions of the user's mask.
func TestResultsKeepTheMask(t *testing.T) {
	old := syscall.Umask(0o077)
	defer syscall.Umask(old)
	dir := t.TempDir()
	folder := filepath.Join(dir, "hall")
	if err := Replace(folder, results(t, "1"), nil); err != nil {
		t.Fatal(err)
	}
	if err := Write(filepath.Join(dir, "out"), []report.Output{{Name: "a.txt", Data: nil}}, nil); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]fs.FileMode{"hall": 0o700, "hall/a.txt": 0o600, "out": 0o700, "out/a.txt": 0o600} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil || info.Mode().Perm() != want {
			t.Errorf("%s: %v, %v; want %v", name, info.Mode().Perm(), err, want)
		}
	}
}

// A signal during the writing of results leaves all of them or none, whichever file is
// being written.
func TestClearWhileWriting(t *testing.T) {
	was := hidden
	t.Cleanup(func() { hidden, removeAll = was, os.RemoveAll })
	// A slow disk: time passes between the removal of the files and of their folder.
	removeAll = func(path string) error {
		entries, _ := os.ReadDir(path) // none if it is a file
		for _, e := range entries {
			if err := os.Remove(filepath.Join(path, e.Name())); err != nil {
				return err
			}
		}
		time.Sleep(time.Millisecond)
		return os.Remove(path)
	}
	var outputs []report.Output
	for i := range 60 {
		outputs = append(outputs, report.Output{Name: fmt.Sprintf("result-%d", i)})
	}
	for i := range 10 {
		hidden = &leftovers{path: map[string]bool{}}
		dir := t.TempDir()
		go Replace(filepath.Join(dir, "hall"), outputs, nil) // waits forever once everything is cleared
		for len(listing(t, dir)) == 0 {
			time.Sleep(100 * time.Microsecond)
		}
		time.Sleep(time.Duration(i) * 300 * time.Microsecond)
		hidden.clear()
		time.Sleep(5 * time.Millisecond) // long enough to write one more file
		for _, name := range listing(t, dir) {
			if name != "hall" {
				t.Errorf("cleared after %d times 0.3 ms, it left %s", i, name)
			} else if got := len(listing(t, filepath.Join(dir, name))); got != len(outputs) {
				t.Errorf("cleared after %d times 0.3 ms, the result has %d of %d files", i, got, len(outputs))
			}
		}
	}
}

// A signal does not wait for a file that takes long to write, and removes what there is of it.
func TestClearDoesNotWaitForAFile(t *testing.T) {
	was := hidden
	hidden = &leftovers{path: map[string]bool{}}
	t.Cleanup(func() { hidden = was })
	for _, save := range []func(string, []report.Output, []string) error{Write, Replace} {
		hidden = &leftovers{path: map[string]bool{}}
		begun, end := make(chan bool), make(chan bool)
		slow := report.Output{Name: "slow.xml", Stream: func(w io.Writer) error {
			close(begun)
			<-end
			_, err := w.Write([]byte("too late"))
			return err
		}}
		dir := t.TempDir()
		go save(filepath.Join(dir, "hall"), []report.Output{slow}, nil) // waits forever once everything is cleared
		<-begun
		cleared := make(chan bool)
		go func() {
			hidden.clear()
			close(cleared)
		}()
		select {
		case <-cleared:
		case <-time.After(20 * time.Second):
			t.Error("the signal waits for the file")
		}
		close(end)
		<-cleared
		filepath.WalkDir(dir, func(path string, d fs.DirEntry, _ error) error {
			if !d.IsDir() {
				t.Errorf("%s is left", path)
			}
			return nil
		})
	}
}

// A file that fails halfway leaves the earlier ones as they were.
func TestFileThatFailsHalfway(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a.txt"), []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	files := []report.Output{{Name: "a.txt", Data: []byte("new")}, {Name: "surface.xml", Stream: func(w io.Writer) error {
		_, err := io.WriteString(w, "half of it")
		return errors.Join(err, errors.New("no room"))
	}}}
	if err := Write(dir, files, nil); err == nil || !strings.Contains(err.Error(), "surface.xml") {
		t.Errorf("error %v", err)
	}
	if got := listing(t, dir); !slices.Equal(got, []string{"a.txt"}) {
		t.Errorf("left %q", got)
	}
	if got, err := os.ReadFile(filepath.Join(dir, "a.txt")); err != nil || string(got) != "old" {
		t.Errorf("the earlier file holds %q, %v", got, err)
	}
}

// A run killed a moment ago left a hidden folder. The next successful run removes it,
// since it holds the lock for such folders.
func TestGoodRunTakesAwayLeftovers(t *testing.T) {
	dir := t.TempDir()
	left := filepath.Join(dir, freshName("hall")+"123")
	if err := os.Mkdir(left, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := Replace(filepath.Join(dir, "hall"), results(t, "x"), nil); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(left); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("what a killed run has left is still there: %v", err)
	}
}

// Results that cannot be written leave none of the folders made for them, and all that
// existed before.
func TestFailedWriteLeavesNoFolder(t *testing.T) {
	dir := t.TempDir()
	files := []report.Output{{Name: "a.txt", Data: []byte("x")}, {Name: strings.Repeat("n", 300), Data: []byte("no file system takes this name")}}
	if err := Write(filepath.Join(dir, "new", "deep"), files, nil); err == nil {
		t.Fatal("a name of 300 letters was written")
	}
	if _, err := os.Stat(filepath.Join(dir, "new")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("an empty folder is left: %v", err)
	}
	old := filepath.Join(dir, "old")
	if err := os.Mkdir(old, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := Write(old, files, nil); err == nil {
		t.Fatal("a name of 300 letters was written")
	}
	if entries, err := os.ReadDir(old); err != nil || len(entries) > 0 {
		t.Errorf("%v, %v", entries, err)
	}
}

// Leftovers of a killed run are removed: at once if the lock shows that no other run
// writes, else a day later. Nothing else is removed.
func TestLeftoversAreSwept(t *testing.T) {
	dir := t.TempDir()
	old := time.Now().Add(-48 * time.Hour)
	made := func(name, file string, at time.Time) string {
		path := filepath.Join(dir, name)
		if err := os.Mkdir(path, 0o755); err != nil {
			t.Fatal(err)
		}
		if file != "" {
			if err := os.WriteFile(filepath.Join(path, file), []byte("x"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
		return path
	}
	gone := made(freshName("hall")+"123", "", old)
	kept := []string{made(freshName("hall")+"456", "", time.Now()), made(freshName("hall")+"789", "letters.txt", old), made(".hall.2", "", old), made(freshName("other")+"123", "", old), made("hall.123", "", old)}
	half := made(freshName("hall")+"321", "", old) // killed half-way: a manifest and one of its results
	for name, text := range map[string]string{"manifest.json": `{"program": "pourplane", "outputs": [{"name": "depth.png", "sha256": "0a"}, {"name": "record.pdf", "sha256": "0b"}]}`, "depth.png": "half"} {
		if err := os.WriteFile(filepath.Join(half, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chtimes(half, old, old); err != nil {
		t.Fatal(err)
	}
	sweep(filepath.Join(dir, "hall"), false)
	if _, err := os.Stat(half); err == nil {
		t.Error("a folder that a run left half-way two days ago is still there")
	}
	if _, err := os.Stat(gone); err == nil {
		t.Error("an empty folder that a run left two days ago is still there")
	}
	for _, path := range kept {
		if _, err := os.Stat(path); err != nil {
			t.Error(err)
		}
	}
	sweep(filepath.Join(dir, "hall"), true)
	for i, path := range kept {
		if _, err := os.Stat(path); (err == nil) != (i > 0) { // the first is recent
			t.Errorf("alone: %s: %v", path, err)
		}
	}
}
