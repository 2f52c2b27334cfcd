package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// idleFiles are surveys none of which can use every option.
var idleFiles = map[string]string{
	"floor.csv": "point,x,y,z\n1,0,0,9.95\n2,4,0,9.95\n3,4,3,9.95\n4,0,3,9.95\n",
	"east.csv":  "point,easting,northing,z\n1,0,0,9.95\n2,4,0,9.95\n3,4,3,9.95\n4,0,3,9.95\n",
	"again.csv": "point,x,y,z\n1,0,0,9.94\n2,4,0,9.95\n3,4,3,9.95\n4,0,3,9.95\n",
	"mark.csv":  "point,x,y,z,code\nBM,-1,0,10,BM\n1,0,0,9.95,\n2,4,0,9.95,\n3,4,3,9.95,\n4,0,3,9.95,\n",
	"mark2.csv": "point,x,y,z,code\nBM,-1,0,10,BM\n1,0,0,9.94,\n2,4,0,9.95,\n3,4,3,9.95,\n4,0,3,9.95,\n",
	"walls.csv": "x,y\n0,0\n4,0\n4,3\n0,3\n",
	"book.csv":  "setup,sight,point,rod\n1,BS,BM,1.000\n1,IS,1,1.05\n1,FS,BM,1.000\n",
	"runs.csv":  "run,x0,y0,x1,y1,n,z\nA,0,0,3,0,11,\"1 1 1 1 1 1 1 1 1 1 1\"\nB,0,1,3,1,11,\"1 1 1 1 1 1 1 1 1 1 1\"\n",
}

// An option that has no use in a command is refused as a wrong call that names it.
func TestOptionsThatMeanNothing(t *testing.T) {
	dir := t.TempDir()
	for name, text := range idleFiles {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	testdata, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	faces, err := os.ReadFile(filepath.Join(testdata, "landxml", "made", "void-and-island.xml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("faces.xml", faces, 0o644); err != nil {
		t.Fatal(err)
	}
	const always = "always"
	input := map[string]string{
		"instrument-height": "floor.csv --instrument-height 11m", "benchmark": "floor.csv --benchmark BM=10m", "adjust": "floor.csv --adjust setups", "allow": "floor.csv --allow 2mm", "accept-misclosure": "floor.csv --accept-misclosure",
		"grid-spacing": "floor.csv --grid-spacing 3m", "grid-numbers": "floor.csv --grid-numbers south", "grid-letters": "floor.csv --grid-numbers south --grid-letters east", "grid-origin": "floor.csv --grid-origin 1m,1m", "grid-values": "floor.csv --grid-values rod",
		"order": "east.csv --order PNEZD", "surface": "floor.csv --surface top", "retriangulate": "floor.csv --retriangulate", "duplicates": "faces.xml --duplicates mean", "zeros": "faces.xml --zeros measured", "code": "floor.csv --code WALL=outline",
		"sheet": "floor.csv --sheet Shots", "outline-sheet": "floor.csv --outline walls.csv --outline-sheet Walls",
		"leave-out": "floor.csv --leave-out 99=wet", "thin-keep": "floor.csv --thin-keep lowest",
		"units": always, "outline": always, "thin": always, "max-size": always,
	}
	target := map[string]string{
		"finish-rule": "floor.csv --finish 10m --finish-rule mean", "low": "floor.csv --target 10m --low 2mm", "buildup": "floor.csv --target 10m --buildup 2mm", "fall": "floor.csv --target 10m --fall 1", "toward": "floor.csv --target 10m --toward E",
		"drain": always, "target-surface": always, "channel": always, "walls": "floor.csv --target 10m --walls level", "ramp": always, "fall-direction": "floor.csv --target 10m --fall 1 --toward E --fall-direction N",
		"best": "floor.csv --best", "min-depth": "floor.csv --target 10m --min-depth 3mm", "max-depth": "floor.csv --target 10m --max-depth 50mm", "max-fall": "floor.csv --target 10m --max-fall 1%", "trip": "floor.csv --target 10m --trip 3mm",
		"fill-price": "floor.csv --target 10m --fill-price 100/m3", "grind-price": "floor.csv --target 10m --grind-price none",
		"bed-least": "floor.csv --target 10m --bed-least 2mm", "bed-greatest": "floor.csv --target 10m --bed-greatest 2mm",
		"target": "floor.csv --target 10m --finish 10m", "finish": "floor.csv --target 10m --finish 10m", "finish-code": "floor.csv --target 10m --finish-code FF", "finish-at": "floor.csv --target 10m --finish-at 1", "covering": "floor.csv --target 10m --covering 10mm",
	}
	with := func(more ...map[string]string) map[string]string {
		all := map[string]string{"show": always, "out": always, "title": always, "json": always, "help": always, "verbose": always}
		for _, m := range more {
			for k, v := range m {
				all[k] = v
			}
		}
		return all
	}
	twoSurveys := map[string]string{} // settlement compares them
	for name, args := range input {
		twoSurveys[name] = strings.NewReplacer("floor.csv ", "floor.csv again.csv ", "east.csv ", "east.csv east.csv ", "faces.xml ", "faces.xml faces.xml ").Replace(args)
	}
	cases := map[string]map[string]string{
		"settlement": with(twoSurveys, map[string]string{"reading-sd": always, "setup-sd": always, "dates": always, "same-datum": "mark.csv mark2.csv --same-datum", "verbose": "floor.csv again.csv --json --verbose"}),
		"fill": with(input, target, map[string]string{
			"water": always, "volume": always, "profile": "floor.csv --target 10m --profile 0m,1m,4m,1m", "date": "floor.csv --target 10m --date 2026-11-25", "line-bore": "floor.csv --target 10m --line-bore 2in", "line-length": "floor.csv --target 10m --line-length 20m",
			"allowance": always, "order-step": always, "unit-weight": always, "roughness": always, "finish-high": always, "hopper": always, "priming": always, "truck": always, "short-load": always,
			"reading-sd": always, "setup-sd": always, "next": always, "risk": always}),
		"flatness": with(input, target, map[string]string{
			"covering": "floor.csv --covering 10mm", "fall": "floor.csv --fall 1", "fall-direction": "floor.csv --fall-direction N", "finish-rule": "floor.csv --finish-rule mean", "bed-greatest": "floor.csv --bed-greatest 3mm",
			"reading-sd": always, "setup-sd": "floor.csv --setup-sd 1mm", "step": "floor.csv --step 300mm --runs from-file", "tolerance": "runs.csv --tolerance 3mm", "grind-pass": "runs.csv --grind-pass 1mm", "bag-yield": "runs.csv --bag-yield 12l", "least-area": "runs.csv --least-area 0.1m2", "water": "runs.csv --water",
			"ordered": "floor.csv --ordered 1m3", "before-sheet": "floor.csv --before-sheet Before", "runs": always, "straightedge": always, "rule": always, "poured": always, "before": always}),
		"read":   with(input, map[string]string{"step": "floor.csv --step 300mm", "map": always, "cells": "floor.csv --cells a.cells"}),
		"reduce": with(input, map[string]string{"form": "book.csv --json --form rise-fall", "show": "book.csv --json --show feet", "adjust": always, "allow": always, "accept-misclosure": always, "benchmark": always, "instrument-height": always, "code": "book.csv --benchmark BM=10 --code WALL=outline", "order": "book.csv --benchmark BM=10 --order PD", "sheet": "book.csv --benchmark BM=10 --sheet Shots"}),
		"plan": with(map[string]string{"units": always, "want": "walls.csv --spacing 1m --want 1mm", "spacing": "walls.csv --spacing 1m --want 1mm", "floor": always, "reading-sd": always, "setup-sd": always,
			"paper": "walls.csv --spacing 1m --paper A4", "sheet": "walls.csv --spacing 1m --sheet Walls", "order": "walls.csv --spacing 1m --order PD"}),
		"new":   with(input, target, map[string]string{"reading-sd": always, "setup-sd": always, "next": always, "risk": always, "volume": always, "job": always, "yes": always}),
		"run":   with(nil, map[string]string{}),
		"serve": with(map[string]string{"listen": always, "port": always}),
	}
	for _, c := range newRoot().Commands() {
		options := cases[c.Name()]
		if options == nil {
			if c.Name() != "help" && c.Name() != "completion" {
				t.Errorf("no cases for %s", c.Name())
			}
			continue
		}
		c.Flags().VisitAll(func(f *pflag.Flag) {
			args, ok := options[f.Name]
			switch {
			case !ok:
				t.Errorf("%s --%s: no case where it means nothing", c.Name(), f.Name)
			case args != always:
				refusedAsIdle(t, c, f.Name, args)
			}
		})
	}
	// An option that the command does not have is refused too.
	for _, flag := range []string{"--outline=nofile.csv", "--surface=x", "--retriangulate", "--thin=5mm", "--leave-out=1=wet", "--duplicates=mean"} {
		var out, diag bytes.Buffer
		if status := run([]string{"reduce", "book.csv", "--units", "m", flag}, nil, &out, &diag); status != wrongUsage || out.Len() > 0 {
			t.Errorf("reduce %s: status %d, %s", flag, status, diag.String())
		}
	}
}

func refusedAsIdle(t *testing.T, c *cobra.Command, flag, text string) {
	t.Helper()
	args := append([]string{c.Name()}, strings.Fields(text)...)
	if !strings.Contains(text, "--units") && !strings.Contains(text, ".xml") {
		args = append(args, "--units", "m")
	}
	if c.Name() == "fill" && !strings.Contains(text, "--target") && !strings.Contains(text, "--finish ") {
		args = append(args, "--target", "10m")
	}
	if c.Name() == "new" && !strings.Contains(text, "--job") {
		args = append(args, "--job", "made.toml", "--yes")
	}
	var out, diag bytes.Buffer
	if status := run(args, nil, &out, &diag); status != wrongUsage || out.Len() > 0 || !strings.Contains(diag.String(), "--"+strings.Replace(flag, "grid-letters", "grid-numbers", 1)) {
		t.Errorf("%s: status %d, %q; want a refusal of --%s", strings.Join(args, " "), status, diag.String(), flag)
	}
}
