package report

// Output is a file to be written.
type Output struct {
	Name string // below the folder of results
	Data []byte
}

// Version is the version in --version and in exported files.
const Version = "0.1.0"

func Names(files []Output) []string {
	var out []string
	for _, f := range files {
		out = append(out, f.Name)
	}
	return out
}

type FileSum struct {
	Name   string `json:"name"`
	Bytes  int    `json:"bytes"`
	SHA256 string `json:"sha256"`
}
