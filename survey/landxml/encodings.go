//go:build !light

package landxml

import (
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/htmlindex"
)

// encodingOf returns the encoding of a name.
func encodingOf(name string) (encoding.Encoding, error) { return htmlindex.Get(name) }
