package survey

import (
	"math/rand/v2"
	"strings"
	"testing"
)

// Rows are searched for a banner only where one could begin: that must pass over none.
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

// BenchmarkFindBanners is the search of a level book of 200,000 rows for lines on a move of
// the instrument.
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
