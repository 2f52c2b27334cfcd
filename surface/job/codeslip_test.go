package job

import (
	"pourplane/surface"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// A misspelt code of a door would make it old floor, and the target, taken from the other doors
// alone, may end above it. It is refused with both answers, and each of them settles it.
func TestMistypedCodeOfADoor(t *testing.T) {
	t.Parallel()
	const keys = "finish-codes = [\"ADJ\"]\n"
	for code, meant := range map[string]string{"AJD": "ADJ", "AD": "ADJ", "ADJ1": "ADJ", "ADDJ": "ADJ", "ADK": "ADJ", "adl": "ADJ", "AJD store": "ADJ", "DRIAN": "DRAIN", "TPP": "TP", "MB": "BM"} {
		files := doored("D1,6.2,3,10,ADJ", "D2,0,2.5,9.98,"+code)
		err := hinted(refused(t, doorJob(keys), files))
		word := strings.ToUpper(strings.Fields(code)[0])
		for _, want := range []string{"floor.csv:38: D2: found the code \"" + code + "\": " + word + " is one slip from " + meant, "correct the code to " + meant, "\"" + word + "\" = \"floor\""} {
			if !strings.Contains(err, want) {
				t.Errorf("%s: %s\nlacks %s", code, err, want)
			}
		}
		as := strings.Replace(doorJob(keys), "[target]", "codes = { "+word+" = \"floor\" }\n[target]", 1)
		near(t, code+" is floor: target", solved(t, as, files).Filled.Fill.Target.(surface.Plane).Z, 9.99)
	}
	// By hand 9.980 − 0.010 m with the door at D2.
	near(t, "corrected", solved(t, doorJob(keys), doored("D1,6.2,3,10,ADJ", "D2,0,2.5,9.98,ADJ")).Filled.Fill.Target.(surface.Plane).Z, 9.97)
}

// Codes of the crew's own are not asked about: those of many shots, those that are no slip, and
// the one that is typed for a drain to be filled over.
func TestOwnCodesAreNoSlips(t *testing.T) {
	t.Parallel()
	for _, code := range []string{"FLR", "TOP", "T", "GR", "AD1", "EDGE", "B2"} {
		solved(t, doorJob("finish-codes = [\"ADJ\"]\n"), doored("D1,6.2,3,10,ADJ", "D2,0,2.5,9.9,"+code))
	}
	solved(t, doorJob("finish-codes = [\"ADJ\"]\n"), doored("D1,6.2,3,10,ADJ", "E1,0.5,2.5,9.9,AD", "E2,1.5,2.5,9.9,AD", "E3,2.5,2.5,9.9,AD", "E4,3.5,2.5,9.9,AD"))
}

// A remark that begins with a mistyped code is refused as one that begins with the code is.
func TestMistypedCodeInARemark(t *testing.T) {
	t.Parallel()
	files := doored("D1,6.2,3,10,ADJ", "D2,0,2.5,9.98,AJD - store")
	files["floor.csv"].Data = []byte(strings.Replace(string(files["floor.csv"].Data), ",code\n", ",remarks\n", 1))
	err := hinted(refused(t, doorJob("finish-codes = [\"ADJ\"]\n"), files))
	for _, want := range []string{"found the remark \"AJD - store\": AJD is one slip from ADJ", "write the remark as \"ADJ - store\""} {
		if !strings.Contains(err, want) {
			t.Errorf("%s\nlacks %s", err, want)
		}
	}
}

// A shot at a wall whose remark speaks of a door and that has no code is old floor, which the
// target warns of with both readings: by hand the finished floor at 10.000 m ends 20 mm above it.
// A shot in the room, and a remark that the options call floor, are not warned of.
func TestWordsOfADoorAtAWall(t *testing.T) {
	t.Parallel()
	const keys = "finish-codes = [\"ADJ\"]\n"
	at := func(row string) fstest.MapFS {
		files := doored("D1,6.2,3,10,ADJ", row)
		files["floor.csv"].Data = []byte(strings.Replace(string(files["floor.csv"].Data), ",code\n", ",remarks\n", 1))
		return files
	}
	for _, says := range []string{"Door to store", "adjoining store room floor", "store SILL", "store threshold", "new finished floor"} {
		for _, x := range []string{"0", "0.2", "-0.2"} {
			r := solved(t, doorJob(keys), at("D2,"+x+",2.5,9.98,"+says))
			got := slices.Concat(about(r.Notes, "at a wall: "), about(r.Notes, "outside the walls. If it is adjoining finished floor, "))
			if len(got) != 1 || !strings.Contains(got[0], "D2: ") || !strings.Contains(got[0], "20 mm") {
				t.Errorf("%s at x = %s: %q", says, x, got)
			}
		}
	}
	for _, row := range []string{"D2,1.5,2.5,9.98,door to store", "D2,0,2.5,9.98,outdoors"} {
		if got := about(solved(t, doorJob(keys), at(row)).Notes, "at a wall"); got != nil {
			t.Errorf("%s: %q", row, got)
		}
	}
	as := strings.Replace(doorJob(keys), "[target]", "codes = { \"DOOR TO STORE\" = \"floor\" }\n[target]", 1)
	if got := about(solved(t, as, at("D2,0,2.5,9.98,door to store")).Notes, "at a wall"); got != nil {
		t.Errorf("called floor: %q", got)
	}
}
