//go:build light

package landxml

import (
	"errors"

	"golang.org/x/text/encoding"
)

// encodingOf is that of the whole program.
func encodingOf(string) (encoding.Encoding, error) {
	return nil, errors.New("the light engine reads none but UTF-8 and UTF-16")
}
