package golang

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/model"
)

// TestDriveReachesTheRegister: what drives the emitted tests goes from end to end: of the declared ranges, or of what the
// registers hold.
func TestDriveReachesTheRegister(t *testing.T) {
	dir := write(t, cartUnit(t))
	integer, err := os.ReadFile(filepath.Join(dir, "drive_test.go"))
	if err != nil {
		t.Fatal(err)
	}
	line := ""
	for l := range strings.Lines(string(integer)) {
		if strings.HasPrefix(l, "package ") {
			line = l
		}
	}
	test := line + `
import "testing"

func TestReach(t *testing.T) {
	apart := false
	for _, wide := range []bool{false, true} {
		d := newDrive(1, wide)
		least, most := make([]int64, len(inputs)), make([]int64, len(inputs))
		for range 20_000 {
			d.next()
			for i, v := range d.raw {
				least[i], most[i] = min(least[i], v), max(most[i], v)
			}
		}
		for i, in := range inputs {
			lo, hi := min(in.lo, 0), max(in.hi, 0)
			apart = apart || in.lo != in.rawLo
			if wide {
				lo, hi = min(in.rawLo, 0), max(in.rawHi, 0)
			}
			if least[i] != lo || most[i] != hi {
				t.Errorf("%s, wide %v: [%d, %d] is driven, [%d, %d] is expected", in.name, wide, least[i], most[i], lo, hi)
			}
		}
	}
	if !apart {
		t.Error("every register is declared whole")
	}
}
`
	if err := os.WriteFile(filepath.Join(dir, "reach_test.go"), []byte(test), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := run(t, dir, "test", "-count=1", "-run", "TestReach$", "-v", "./..."); err != nil || !strings.Contains(out, "--- PASS: TestReach") {
		t.Errorf("%v\n%s", err, out)
	}
}

// cartUnit is a starter whose inputs are declared in less than their registers hold.
func cartUnit(t *testing.T) *model.Unit {
	t.Helper()
	text, err := os.ReadFile("../../templates/starters/cart.yaml")
	if err != nil {
		t.Fatal(err)
	}
	u := model.Compile("cart.yaml", text)
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	return u
}

// TestDriveIsBelieved: where the controller checks its readings, what drives the emitted tests passes for long enough that the outputs move.
func TestDriveIsBelieved(t *testing.T) {
	text, err := os.ReadFile("../../templates/starters/incubator.yaml")
	if err != nil {
		t.Fatal(err)
	}
	dir := write(t, model.Compile("incubator.yaml", text))
	test := `package incubator

import "testing"

func TestMoves(t *testing.T) {
	for _, wide := range []bool{false, true} {
		d := newDrive(1, wide)
		var s State
		s.Init()
		driven := 0
		for range calm {
			d.next()
			if s.Step(pack(d.raw)).Heater != 0 {
				driven++
			}
		}
		if driven < calm/10 {
			t.Errorf("wide %v: the heater is on in %d of %d ticks", wide, driven, calm)
		}
	}
}
`
	if err := os.WriteFile(filepath.Join(dir, "moves_test.go"), []byte(test), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := run(t, dir, "test", "-count=1", "-run", "TestMoves$", "-v", "./..."); err != nil || !strings.Contains(out, "--- PASS: TestMoves") {
		t.Errorf("%v\n%s", err, out)
	}
}
