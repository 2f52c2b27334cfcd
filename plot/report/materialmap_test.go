package report

import (
	"slices"
	"testing"
)

// By hand: 20 mm deep at x 0 and 100 mm at x 6 m over 4 m; 60 mm at 3 m. Half of the floor is
// mortar, 12 m² × 40 mm = 0.48 m³, the other concrete, 12 m² × 80 mm = 0.96 m³.
func TestRecordShowsWhereEachMaterialGoes(t *testing.T) {
	const mortar = "[[materials]]\nname = \"mortar\"\nbag-yield = \"12L\"\ngreatest = \"60mm\"\n"
	r := runText(t, ramp+mortar+"[[materials]]\nname = \"concrete\"\nleast = \"60mm\"\n")
	all := r.h.planMaterials()
	if len(all) != 2 || all[0].Name != "mortar" || all[0].Text != "12.00 m², 0.48 m³" || all[1].Name != "concrete" || all[1].Text != "12.00 m², 0.96 m³" || all[0].From != 0 || all[1].From < 0.0599 || all[1].From > 0.0601 {
		t.Fatalf("materials in plan: %+v", all)
	}
	s := r.h.materialSection()
	for _, want := range []string{"The border is where the fill is 60 mm deep: mortar where it is thinner, concrete where it is deeper.", "Which is placed first: see the product labels, or set your own sequence."} {
		if !slices.Contains(s.Text, want) {
			t.Errorf("no %q in %q", want, s.Text)
		}
	}
	if len(s.Pictures) != 1 {
		t.Errorf("%d maps of materials, want 1", len(s.Pictures))
	}
	if one := runText(t, ramp+"[[materials]]\nname = \"concrete\"\n"); one.h.materialSection().Title != "" {
		t.Error("a floor of one material has a map of materials")
	}
	none := runText(t, ramp+"[mix]\naccept-unserved = true\n"+mortar)
	if all := none.h.planMaterials(); len(all) != 2 || !all[1].None || all[1].Text != "12.00 m², 0.96 m³" {
		t.Errorf("without a material for half of the floor: %+v", all)
	}
}
