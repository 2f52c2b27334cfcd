// Package demo holds the files of the demo floor, for programs that offer it.
package demo

import "embed"

// Files are the job and what it names.
//
//go:embed job.toml survey.csv outline.csv check.csv adjoining.csv lines.csv
var Files embed.FS
