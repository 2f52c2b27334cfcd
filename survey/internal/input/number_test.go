package input

import (
	"fmt"
	"testing"
)

func TestXMLNumberAgainstStrconv(t *testing.T) {
	for _, text := range []string{"0", "-0", "1", "+1.5", "-12.345", "0.1", "6783020.064", "21530666.426", "9.9600E+03", "1e-7", "123456789012345", "1234567890123456789", "0.00000000000000000000001", ".5", "71.", "3.141592653589793238"} {
		want := 0.0
		if _, err := fmt.Sscan(text, &want); err != nil {
			t.Fatal(err)
		}
		if got, err := Number([]byte(text)); err != nil || got != want {
			t.Errorf("%s = %v (%v), want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "-", ".", "1e", "e5", "1e400", "1.1e300", "nan", "inf", "0x10", "1_0", "1,5", "1.2.3", "--1", "1e+", "1e5.5"} {
		if v, err := Number([]byte(text)); err == nil {
			t.Errorf("%q read as %g, want an error", text, v)
		}
	}
}
