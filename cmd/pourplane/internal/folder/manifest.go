package folder

import (
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"

	"pourplane/plot/report"
)

// Program is the name that a manifest of ours has.
const Program = "pourplane"

// Manifest lists the inputs and outputs of a result. It is the last file of a folder of
// results, manifest.json.
type Manifest struct {
	Program string           `json:"program"`
	Version string           `json:"version"`
	Job     string           `json:"job"`
	Date    string           `json:"date"`
	Inputs  []report.FileSum `json:"inputs"`
	Outputs []report.FileSum `json:"outputs"`
}

// Sum returns the size and the SHA-256 of a file under a name with slashes.
func Sum(name string, b []byte) report.FileSum {
	h := sha256.Sum256(b)
	return report.FileSum{Name: filepath.ToSlash(name), Bytes: len(b), SHA256: hex.EncodeToString(h[:])}
}
