package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// workbook writes a workbook with the sheets Before, After and Walls, in metres: a floor
// of 4 m by 3 m at 9.9 m, later at 10 m.
func workbook(t *testing.T, name string) {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	corners := [][2]float64{{0, 0}, {4, 0}, {4, 3}, {0, 3}}
	for i, s := range []struct {
		name string
		z    float64
	}{{"Before", 9.9}, {"After", 10}, {"Walls", 0}} {
		if i == 0 {
			f.SetSheetName("Sheet1", s.name)
		} else if _, err := f.NewSheet(s.name); err != nil {
			t.Fatal(err)
		}
		head := []any{"x [m]", "y [m]"}
		if s.z > 0 {
			head = append(head, "z [m]")
		}
		f.SetSheetRow(s.name, "A1", &head)
		for k, c := range append(corners, [2]float64{2, 1.5})[:4+min(1, int(s.z))] {
			row := []any{c[0], c[1]}
			if s.z > 0 {
				row = append(row, s.z)
			}
			at, _ := excelize.CoordinatesToCellName(1, k+2)
			f.SetSheetRow(s.name, at, &row)
		}
	}
	if err := f.SaveAs(name); err != nil {
		t.Fatal(err)
	}
}

// A workbook can be survey and outline, by the names of its sheets, in every command and
// in a job: 12 m² at 9.9 m take 1.2 m³ up to 10 m.
func TestWorkbooks(t *testing.T) {
	folder := t.TempDir()
	name := filepath.Join(folder, "hall.xlsx")
	workbook(t, name)
	jobFile := filepath.Join(folder, "hall.toml")
	job := "title = \"Hall\"\ndate = 2026-11-25\n[survey]\nfiles = [\"hall.xlsx\"]\nsheet = \"Before\"\noutline = \"hall.xlsx\"\noutline-sheet = \"Walls\"\n[target]\nelevation = \"10m\"\n"
	if err := os.WriteFile(jobFile, []byte(job), 0o644); err != nil {
		t.Fatal(err)
	}
	list := filepath.Join(folder, "floor.csv")
	if err := os.WriteFile(list, []byte("x [m],y [m],z [m]\n0,0,9.9\n4,0,9.9\n4,3,9.9\n0,3,9.9\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	after := func(more ...string) []string {
		return append([]string{"flatness", name, "--sheet", "After", "--outline", name, "--outline-sheet", "Walls", "--poured"}, more...)
	}
	for _, c := range []struct {
		args         []string
		status       int
		want, refuse string
	}{
		{[]string{"fill", name, "--sheet", "Before", "--outline", name, "--outline-sheet", "Walls", "--target", "10m", "--json"}, 0, `"fill_m3": 1.1999999`, ""},
		{[]string{"flatness", name, "--sheet", "after", "--outline", name, "--outline-sheet", "Walls", "--json"}, 0, "hall.xlsx", ""},
		{[]string{"read", name, "--sheet", "Walls"}, 0, `XLSX, sheet "Walls"`, ""},
		{[]string{"read", name, "--sheet", "Before"}, 0, `XLSX, sheet "Before"`, ""},
		{[]string{"fill", name, "--target", "10m"}, 1, "", `hall.xlsx: found 2 sheets with shots: "Before", "After", want one sheet of shots` + "\nhint: --sheet \"Before\"\n"},
		{[]string{"fill", name, "--sheet", "Before", "--outline", name, "--target", "10m"}, 1, "", `hall.xlsx: found 3 sheets with corners: "Before", "After", "Walls", want one sheet of corners` + "\nhint: --outline-sheet \"Walls\"\n"},
		{after("--before", name, "--before-sheet", "before"), 0, "Placed       1.20 m³ net over 12.00 m²", ""},
		{after("--before", name, "--before-sheet", "before"), 0, `the survey before the pour: sheet "Before"`, ""},
		{after("--before", name), 1, "", "hall.xlsx:After: the survey after the pour is the same as before\nhint: --before-sheet \"Before\"\n"},
		{after("--before", filepath.Join(folder, ".", "..", filepath.Base(folder), "hall.xlsx"), "--before-sheet", "After"), 1, "", "hall.xlsx:After: the survey after the pour is the same as before\nhint: --before-sheet \"Before\"\n"},
		{after("--before", name, "--before-sheet", "Befor"), 1, "", "want a sheet named \"Befor\"\nhint: --before-sheet \"Before\"\n"},
		{after("--before-sheet", "Before"), 2, "", "--before-sheet goes with --before\nhint: --before FILE\n"},
		{after("--before", list, "--before-sheet", "Before"), 2, "", "floor.csv is not one\nhint: leave --before-sheet out\n"},
		{[]string{"run", jobFile, "--out", filepath.Join(folder, "out")}, 0, "", ""},
	} {
		var out, diag bytes.Buffer
		if status := run(c.args, nil, &out, &diag); status != c.status || !strings.Contains(out.String(), c.want) || !strings.HasSuffix(diag.String(), c.refuse) {
			t.Errorf("%q: status %d\n%s\n%s", c.args, status, out.String(), diag.String())
		}
	}
	result, err := os.ReadFile(filepath.Join(folder, "out", "result.json"))
	if err != nil || !strings.Contains(string(result), `"fill_m3": 1.1999999`) {
		t.Errorf("the job: %.300s, %v", result, err)
	}
	if err := os.WriteFile(jobFile, []byte(strings.Replace(job, "\"Before\"", "\"Later\"", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, diag bytes.Buffer
	if status := run([]string{"run", jobFile}, nil, &out, &diag); status != 1 || !strings.Contains(diag.String(), `want a sheet named "Later"`) || !strings.Contains(diag.String(), `hint: [survey] sheet = "Before"`) {
		t.Errorf("status %d: %s", status, diag.String())
	}
}

// A workbook with the floor before and after the pour gives a job both, each by its
// sheet. The same shots are never used for both.
func TestAfterInTheSameWorkbook(t *testing.T) {
	folder := t.TempDir()
	workbook(t, filepath.Join(folder, "hall.xlsx"))
	csv := "x [m],y [m],z [m]\n0,0,9.9\n4,0,9.9\n4,3,9.9\n0,3,9.9\n2,1.5,9.9\n"
	if err := os.WriteFile(filepath.Join(folder, "copy.csv"), []byte(csv), 0o644); err != nil {
		t.Fatal(err)
	}
	jobFile := filepath.Join(folder, "hall.toml")
	for _, c := range []struct {
		keys         string
		status       int
		want, refuse string
	}{
		{"after = [\"hall.xlsx\"]\nafter-sheet = \"After\"\n", 0, "100.0 % of the floor within", ""},
		{"after = [\"hall.xlsx\"]\n", 1, "", "hall.xlsx:Before: the survey after the pour is the same as before\nhint: [survey] after-sheet = \"After\"\n"},
		{"after = [\"hall.xlsx\"]\nafter-sheet = \"Later\"\n", 1, "", "want a sheet named \"Later\"\nhint: [survey] after-sheet = \"Before\"\n"},
		{"after = [\"copy.csv\"]\n", 1, "", "copy.csv: the survey after the pour is the same as before\nhint: survey.files names the floor before the pour, survey.after the same floor after it\n"},
		{"after-sheet = \"After\"\n", 1, "", "found \"After\" and no survey after the pour, want after = [\"check.xlsx\"]\n"},
	} {
		text := "title = \"Hall\"\ndate = 2026-11-25\n[survey]\nfiles = [\"hall.xlsx\"]\nsheet = \"Before\"\noutline = \"hall.xlsx\"\noutline-sheet = \"Walls\"\n" + c.keys + "[target]\nelevation = \"10m\"\n"
		if err := os.WriteFile(jobFile, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		var out, diag bytes.Buffer
		if status := run([]string{"run", jobFile, "--out", filepath.Join(folder, "out")}, nil, &out, &diag); status != c.status || !strings.Contains(out.String(), c.want) || !strings.HasSuffix(diag.String(), c.refuse) {
			t.Errorf("%s: status %d\n%s\n%s", c.keys, status, out.String(), diag.String())
		}
	}
}
