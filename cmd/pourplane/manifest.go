package main

import (
	"path/filepath"
	"time"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
)

// newManifest lists the inputs of a job with the checksums of what was read.
func newManifest(j *job.Job, text []byte, day time.Time, read *readSums) (folder.Manifest, error) {
	m := folder.Manifest{Program: folder.Program, Version: report.Version, Job: j.Title, Date: day.Format(time.DateOnly), Inputs: []report.FileSum{folder.Sum(filepath.Base(j.Name()), text)}}
	if read.err != nil {
		return m, read.err
	}
	for _, name := range j.FilesNamed() {
		sum, ok := read.of[j.Path(name)]
		if !ok {
			return m, &survey.Error{Pos: survey.Pos{File: j.Path(name)}, Found: "a file that nothing was read of", Want: "inputs that the job uses"}
		}
		sum.Name = filepath.ToSlash(name)
		m.Inputs = append(m.Inputs, sum)
	}
	return m, nil
}
