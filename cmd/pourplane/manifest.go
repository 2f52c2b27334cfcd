package main

import (
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"time"

	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
)

const program = "pourplane"

// manifest lists the inputs and outputs of a result.
type manifest struct {
	Program string           `json:"program"`
	Version string           `json:"version"`
	Job     string           `json:"job"`
	Date    string           `json:"date"`
	Inputs  []report.FileSum `json:"inputs"`
	Outputs []report.FileSum `json:"outputs"`
}

func sumOf(name string, b []byte) report.FileSum {
	h := sha256.Sum256(b)
	return report.FileSum{Name: filepath.ToSlash(name), Bytes: len(b), SHA256: hex.EncodeToString(h[:])}
}

func newManifest(j *job.Job, text []byte, day time.Time, read *readSums) (manifest, error) {
	m := manifest{Program: program, Version: report.Version, Job: j.Title, Date: day.Format(time.DateOnly), Inputs: []report.FileSum{sumOf(filepath.Base(j.Name()), text)}}
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
