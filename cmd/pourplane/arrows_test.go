package main

import (
	"os/exec"
	"strings"
	"testing"
)

// mayImport is the import table of our own packages: one way, no cycles, nothing
// sideways. DEVELOPERS.md explains it.
var mayImport = map[string][]string{
	"survey/unit":                   {},
	"survey":                        {"survey/unit"},
	"survey/internal/input":         {"survey", "survey/unit"},
	"survey/internal/thin":          {"survey", "survey/unit"},
	"survey/internal/check":         {"survey", "survey/unit", "survey/internal/thin"},
	"survey/level":                  {"survey", "survey/unit"},
	"survey/landxml":                {"survey", "survey/unit", "survey/internal/input", "survey/internal/thin"},
	"survey/scan":                   {"survey", "survey/unit", "survey/internal/input", "survey/internal/thin"},
	"survey/text":                   {"survey", "survey/unit", "survey/internal/input", "survey/internal/thin", "survey/level"},
	"survey/file":                   {"survey", "survey/unit", "survey/internal/input", "survey/internal/thin", "survey/landxml", "survey/scan", "survey/text"},
	"surface/internal/sum":          {},
	"surface/internal/exact":        {},
	"surface/internal/delaunay":     {"surface/internal/exact"},
	"surface/internal/plan":         {"surface/internal/delaunay", "surface/internal/exact", "surface/internal/sum"},
	"surface":                       {"survey", "survey/unit", "surface/internal/delaunay", "surface/internal/exact", "surface/internal/plan", "surface/internal/sum"},
	"surface/internal/bench":        {"survey", "survey/file", "survey/unit", "surface", "surface/flatness", "surface/internal/delaunay"},
	"surface/blunder":               {"survey", "survey/unit", "surface"},
	"surface/flatness":              {"survey", "survey/unit", "surface", "surface/internal/exact", "surface/internal/sum"},
	"surface/flatness/study":        {"survey", "surface/flatness"},
	"surface/best":                  {"surface", "surface/internal/sum"},
	"surface/settlement":            {"surface/internal/sum"},
	"surface/water":                 {"surface", "surface/internal/exact", "surface/internal/sum"},
	"surface/order":                 {"survey", "survey/unit"},
	"surface/uncertainty":           {"survey", "surface"},
	"surface/uncertainty/study":     {"survey", "surface", "surface/uncertainty"},
	"surface/falls":                 {"survey", "survey/unit", "surface", "surface/internal/exact", "surface/internal/plan", "surface/internal/sum"},
	"surface/setout":                {"survey", "survey/unit", "surface", "surface/internal/exact", "surface/internal/sum"},
	"surface/job":                   {"survey", "survey/unit", "survey/file", "survey/text", "surface", "surface/best", "surface/blunder", "surface/falls", "surface/flatness", "surface/order", "surface/setout", "surface/settlement", "surface/uncertainty", "surface/water"},
	"plot":                          {"survey", "survey/unit", "surface", "surface/order"},
	"plot/table":                    {"survey/unit"},
	"plot/browser":                  {},
	"plot/exchange":                 {"survey", "surface", "plot/table"},
	"plot/sheet":                    {"survey", "survey/unit", "surface", "plot", "plot/table"},
	"plot/report":                   {"survey", "survey/unit", "survey/landxml", "surface", "surface/blunder", "surface/flatness", "surface/job", "surface/order", "surface/setout", "surface/settlement", "surface/uncertainty", "surface/water", "plot", "plot/exchange", "plot/sheet", "plot/table"},
	"plot/page":                     {"survey", "survey/unit", "surface", "surface/blunder", "surface/job", "plot/report", "plot/table"},
	"plot/page/web":                 {"plot/page", "plot/sheet", "testdata/demo"},
	"cmd/site":                      {"plot/page/web"},
	"cmd/pourplane/internal/folder": {"plot/report", "survey", "survey/unit"},
	"cmd/pourplane":                 {"cmd/pourplane/internal/folder", "surface/job", "survey", "survey/file", "survey/unit", "plot", "plot/page/web", "plot/report", "plot/table"},
}

func TestImportsRunOneWay(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "pourplane/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for line := range strings.Lines(string(out)) {
		fields := strings.Fields(line)
		name := strings.TrimPrefix(fields[0], "pourplane/")
		allowed, known := mayImport[name]
		if !known {
			t.Errorf("package %s is not in the import table", name)
			continue
		}
		seen++
		for _, i := range fields[1:] {
			if i == "text/tabwriter" {
				t.Errorf("%s lays out a table itself, want a description for plot/table", name)
			}
			ours, is := strings.CutPrefix(i, "pourplane/")
			if !is {
				continue
			}
			ok := false
			for _, a := range allowed {
				ok = ok || a == ours
			}
			if !ok {
				t.Errorf("%s imports %s, which the import table does not allow", name, ours)
			}
		}
	}
	if seen != len(mayImport) {
		t.Errorf("%d packages found, %d in the table", seen, len(mayImport))
	}
}
