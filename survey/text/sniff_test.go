package text

import (
	"testing"
)

func TestPlywoodIsNoScan(t *testing.T) {
	if k := Sniff([]byte("plywood,x,y\n")); k.what != "" {
		t.Errorf("a list of plywood taken for %s", k.what)
	}
}
