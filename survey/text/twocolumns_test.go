package text

import "testing"

// Corners with decimal commas are two columns, not three.
func TestSeparatorOfTwoColumns(t *testing.T) {
	for text, want := range map[string]rune{
		"x (m);y (m)\n0,00;0,00\n4,20;0,00\n4,20;3,60\n": ';',
		"x;y\n0,0;0,0\n4,2;0,0\n4,2;3,6\n":               ';',
		"x;y\n0;0\n4;0\n4;3\n":                           ';',
		"x;y\n0.5;0.5\n4.2;0.5\n4.2;3.6\n":               ';',
		"0,00;0,00\n4,20;0,00\n4,20;3,60\n":              ';',
		"x,y,z\n0,0,1\n4,2,1;2\n4,3,1\n":                 ',',
		"p,x,y,note\n1,0,0,wet; cold\n2,4,0,dry; cold\n": ',',
	} {
		f, err := learn("walls.csv", []byte(text), false)
		if err != nil || f.sep != want {
			t.Errorf("%q: separator %q, %v; want %q", text, f.sep, err, want)
		}
	}
}
