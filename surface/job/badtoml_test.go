package job

import (
	"strings"
	"testing"
)

// A line that is not TOML, or has a value of the wrong kind, is refused with the line to type.
func TestWhatToTypeForBadTOML(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"[target]\nfinish-codes = \"ADJ\"", `target.finish-codes: found "ADJ", want a list: finish-codes = ["ADJ"]`},
		{"[target]\nfinish-codes = [ADJ, WALL]", `want a list: finish-codes = ["ADJ", "WALL"]`},
		{"[target]\nelevation = 100.1", `elevation = "100.1ft"`},
		{"[target]\nbuildup = 0.5 # tile", `target.buildup: found 0.5, want text in one pair of quotes: buildup = "0.5in"`},
		{"[target]\nelevation = \"100'-1 3/16\"\"", `elevation = "100'-1 3/16in"`},
		{"[target]\nelevation = 100ft", `elevation = "100ft"`},
		{"[target]\nelevation = “100ft”", `elevation = "100ft"`},
		{"[target]\nelevation =", `target.elevation: found no value, want text in one pair of quotes: elevation = "99.93ft"`},
		{"[target]\nelevation: \"100ft\"", `found no =, want elevation = "100ft"`},
		{"[target]\nelevation \"100ft\"", `found no =, want elevation = "100ft"`},
		{"[target]\nfinish-at = DOOR", `finish-at = "DOOR"`},
		{"outline = \"C:\\jobs\\walls.csv\"", `outline = 'C:\jobs\walls.csv'`},
		{"benchmarks = \"BM1=100\"", `survey.benchmarks: found "BM1=100", want a table: benchmarks = { "BM1" = "100ft" }`},
		{"benchmarks = { BM 1 = \"100ft\" }", `benchmarks = { "BM 1" = "100ft" }`},
		{"[site]\nheated = no", `want true or false: heated = false`},
		{"[mix]\nallowance-percent = 5%", "want a number: allowance-percent = 5"},
		{"[outputs]\npaper = 4", `paper = "4"`},
		{"[plant]\ntruck = 10", `truck = "10yd3"`},
		{"[target]\ngrind-price = 900", `grind-price = "900/yd3"`},
		{"[target]\nmax-fall = 1", `max-fall = "1%"`},
		{"[target]\nfall = 1.5", `fall = "1.5%"`},
		{"[target]\nlow = \"1in\"\nlow = \"2in\"", "found low once more, after line 5, want it once"},
		{"[target]\nlow = \"1in\"\n[target]", "found a second [target], after line 4, want one"},
		{"[[pins]]\nspacing = \"4ft\"", "found [[pins]], want [pins]"},
		{"[target\nlow = \"1in\"", `found "[target", want [target]`},
		{"after = [\"b.csv\"\n[target]\nlow = \"1in\"", "found [target], want the ] that ends the list of line 4"},
		{"[pin]\nspacing = \"4ft\"", "found the table [pin], want a table of a job file, such as [pins]"},
		{"[[material]]\nname = \"A\"", "found the table [[material]], want a table of a job file, such as [[materials]]"},
		{"[truck]\nsize = 1", "truck is a key of [plant]"},
		{"[zzzzzz]\nsize = 1", "[target], [site], [mix]"},
		{"target = \"100ft\"", `found the key "survey.target", want a key of a job file, such as target.elevation`},
		{"[target]\nheight = \"100ft\"", "want a key of [target]: elevation, finish, "},
	} {
		_, err := Parse([]byte("units = \"ft\"\n[survey]\nfiles = [\"a.csv\"]\n"+c.text+"\n"), "hall.toml")
		if err == nil || !strings.HasPrefix(err.Error(), "hall.toml:") || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s\n%v\nwant %s", c.text, err, c.want)
		}
	}
	for _, c := range []struct{ text, want string }{
		{"date = 11/25/2026", "want a date, year first and without quotes: date = 2026-11-25"},
		{"target = \"100ft\"", "want a table: write [target] on a line of its own"},
		{"[target]\nelevation = 10", `elevation = "10ft" or elevation = "10m"`},
	} {
		if _, err := Parse([]byte(c.text+"\n"), "hall.toml"); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s\n%v\nwant %s", c.text, err, c.want)
		}
	}
}
