//go:build unix

package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// TestTasks solves a square of 2 m with a middle 1 m below the plane z = 1: a pyramid upside
// down of 4/3 m³, less nothing. A wall along one diagonal and the sides leaves half of it.
func TestTasks(t *testing.T) {
	dir := t.TempDir()
	write := func(name string, v any) string {
		var b bytes.Buffer
		if err := binary.Write(&b, binary.LittleEndian, v); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, b.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
		return file
	}
	points := write("points", []float64{0, 0, 1, 2, 0, 1, 2, 2, 1, 0, 2, 1, 1, 1, 0})
	half := write("half", []uint32{0, 1, 0, 1, 2, 0, 2, 4, 0, 4, 0, 0, 4, 3, 1})
	four := write("four", []uint32{0, 1, 4, 1, 2, 4, 2, 3, 4, 3, 0, 4})
	csv := filepath.Join(dir, "points.csv")
	if err := os.WriteFile(csv, []byte("0,0,1\n2.5,0,-1.25\n2,2,1\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	valley := write("valley", []float64{2, 1, 0, 1, 2, 2, 1, 0, 1, 2}) // worst over 2 m in the middle; 2 m of way a row
	made := filepath.Join(dir, "made")
	for _, c := range []struct {
		args []string
		want map[string]any
	}{
		{[]string{"tin", "--points", points, "--plane", "1,0,0", "--triangles", made},
			map[string]any{"points": 5.0, "triangles": 4.0, "volume_m3": 4. / 3, "area_m2": 4.0}},
		{[]string{"tin", "--points", points, "--plane", "1,0,0", "--constraints", half},
			map[string]any{"points": 5.0, "triangles": 4.0, "volume_m3": 2. / 3, "area_m2": 2.0}},
		{[]string{"floor", "--points", points, "--plane", "1,0,0"},
			map[string]any{"points": 5.0, "triangles": 4.0, "volume_m3": 4. / 3, "area_m2": 4.0}},
		// One metre higher at the east: the plane rises 0.5 on average.
		{[]string{"volume", "--points", points, "--triangulation", four, "--plane", "1,0.5,0"},
			map[string]any{"triangles": 4.0, "volume_m3": 4./3 + 2, "area_m2": 4.0}},
		{[]string{"csv", "--csv", csv},
			map[string]any{"points": 3.0, "sums": []any{45000.0, 20000.0, 7500.0}}},
		{[]string{"edge", "--raster", valley, "--nx", "5", "--ny", "2", "--step", "1", "--lengths", "2"},
			map[string]any{"positions_m": 4.0, "max_gap_m": 1.0}},
		{[]string{"lay", "--points", points, "--lengths", "2,0.5"},
			map[string]any{"max_gap_m": 1.0}},
	} {
		var out bytes.Buffer
		if err := run(c.args, &out); err != nil {
			t.Errorf("%s: %v", c.args[0], err)
			continue
		}
		var got map[string]any
		if err := json.Unmarshal(out.Bytes(), &got); err != nil {
			t.Fatal(err)
		}
		for k, w := range c.want {
			if f, is := w.(float64); is {
				if g, _ := got[k].(float64); math.Abs(g-f) > 1e-12 {
					t.Errorf("%s: %s = %v, want %v", c.args[0], k, got[k], f)
				}
			} else if !reflect.DeepEqual(got[k], w) {
				t.Errorf("%s: %s = %v, want %v", c.args[0], k, got[k], w)
			}
		}
	}
	if v, err := numbers(made); err != nil || len(v) != 12 {
		t.Errorf("triangles written: %v, %v", v, err)
	}
	for _, args := range [][]string{nil, {"other"}, {"tin", "--points", "none"}, {"tin", "--points", points, "--plane", "x"}, {"volume", "--points", csv, "--triangulation", four}} {
		if err := run(args, &bytes.Buffer{}); err == nil {
			t.Errorf("%v: no error", args)
		}
	}
}

// Twice the points in three times the time is an exponent of log 3 / log 2, by hand.
func TestExponent(t *testing.T) {
	if got, want := exponent([]float64{1e3, 2e3, 4e3}, []float64{5, 15, 45}), math.Log2(3); math.Abs(got-want) > 1e-12 {
		t.Errorf("got %g, want %g", got, want)
	}
	var out bytes.Buffer
	if err := run([]string{"growth", "--numbers", "1000,2000", "--rounds", "1"}, &out); err != nil || !strings.Contains(out.String(), `"points":[1000,2000]`) {
		t.Errorf("%v %s", err, out.String())
	}
}
