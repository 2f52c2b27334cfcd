package surface

import "testing"

// In a file with two surfaces of one name the reader could not choose between them.
func TestSurfacesHaveNamesOfTheirOwn(t *testing.T) {
	tin := &TIN{X: []float64{0, 6, 0}, Y: []float64{0, 0, 4}, Z: []float64{1, 1, 1}, V: []int32{0, 1, 2}, Shot: []int32{-1, -1, -1}}
	f := &Floor{}
	for _, name := range []string{"", "bay", "", "bay", "bay (2)"} {
		f.Regions = append(f.Regions, Region{Name: name, TIN: tin})
	}
	want := []string{"floor", "bay", "floor (2)", "bay (2)", "bay (2) (2)"}
	for i, s := range f.Surfaces() {
		if s.Name != want[i] {
			t.Errorf("surface %d is named %q, want %q", i+1, s.Name, want[i])
		}
	}
}
