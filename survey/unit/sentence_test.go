package unit

import "testing"

func TestSentenceBeginsWithACapital(t *testing.T) {
	for text, want := range map[string]string{
		"straightedge of 2 m: no verdict": "Straightedge of 2 m: no verdict", "truck: 2 m³": "Truck: 2 m³", "a shot": "A shot", "re-shot": "Re-shot", "walls": "Walls", "total, in all": "Total, in all",
		// names, letters, units and figures
		"p3 is far off": "p3 is far off", "walls.csv is empty": "walls.csv is empty", "x and y": "x and y", "mm are read": "mm are read", "ftUS are read": "ftUS are read", "floor_2 is": "floor_2 is", "6 chairs": "6 chairs", "Order": "Order", "": "", "été": "été",
	} {
		if got := Sentence(text); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
