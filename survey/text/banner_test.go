package text

import (
	"math/rand/v2"
	"strings"
	"testing"

	"pourplane/survey"
)

// hintsAtBanner searches a row with bannerHint only if it has a letter pair of it. It
// must miss no row that bannerHint matches.
func TestNoBannerIsPassedOver(t *testing.T) {
	words := strings.Split("set sta stn pos loc mov reloc shift bump knock day hi h.i height of colli laser level inst tripod gun machine transit aufst "+
		"h i s t 12.5 S1 IS BS chi hit ſet bumpKnock \u212anock é 0 - , ;", " ")
	r := rand.New(rand.NewPCG(7, 11))
	found := 0
	for range 20000 {
		var b strings.Builder
		for range 1 + r.IntN(3) {
			w := words[r.IntN(len(words))]
			switch r.IntN(3) {
			case 0:
				w = strings.ToUpper(w)
			case 1:
				w = w[:1+r.IntN(len(w))]
			}
			b.WriteString(w)
			b.WriteString([]string{"", " ", ","}[r.IntN(3)])
		}
		text := b.String()
		want := bannerHint.MatchString(text)
		if got := hintsAtBanner(text); got != want {
			t.Fatalf("%q: %t, want %t", text, got, want)
		}
		if want {
			found++
		}
	}
	if found < 2000 || found > 19000 {
		t.Errorf("%d of 20000 texts hint at a banner: too one-sided to show anything", found)
	}
}

// BenchmarkFindBanners searches a level book of 200,000 rows for lines that record a move
// of the instrument.
func BenchmarkFindBanners(b *testing.B) {
	row := "S1,IS,398,41.273,0.000,1.3003"
	b.ReportAllocs()
	for b.Loop() {
		for range 200_000 {
			if hintsAtBanner(row) {
				b.Fatal("a row hints at a banner")
			}
		}
	}
}

// A remark that records a move begins a set-up, however long it is, in a row of its own
// and after a comment mark.
func TestLongRemarkOnAMove(t *testing.T) {
	for _, mark := range []string{"", "# "} {
		for _, words := range []int{1, 30, 300} {
			text := "point,x_m,y_m,rod_m\nBM1,0,0,1.500\n1,1,0,1.600\n2,2,0,1.610\n3,1,1,1.604\n" +
				mark + "Laser moved to the other side" + strings.Repeat(" of the pallets", words) +
				"\nBM1,0,0,1.700\n4,2,1,1.800\n5,3,1,1.810\n6,3,0,1.804\n"
			s, err := Read(strings.NewReader(text), "book.csv", survey.Options{Benchmarks: map[string]float64{"BM1": 10}})
			if err != nil {
				t.Fatalf("%q, %d words: %v", mark, words, err)
			}
			if s.Book == nil || len(s.Book.Setups) != 2 {
				t.Errorf("%q, %d words: %+v, want two set-ups", mark, words, s.Book)
			}
		}
	}
	row := "point,x_m,y_m,elevation_m\n1,1,0,1.600\n2,2,0,1.610\nLaser moved to the other side" + strings.Repeat(" of the pallets", 30) + "\n3,1,1,1.604\n4,2,1,1.610\n"
	_, err := Read(strings.NewReader(row), "floor.csv", survey.Options{})
	want := `floor.csv:4: column 4 "elevation_m": found "Laser moved to the other side of the pallets of the pallets …" in a list of elevations, want rod readings: an elevation does not change with the laser`
	if err == nil || err.Error() != want {
		t.Errorf("elevations: %v, want %s", err, want)
	}
}
