package simulate

import (
	"math"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/model/plant"
)

// A study needs an integer program; here the reference stands for it.
func studied(t *testing.T, s *System, n int, seed uint64) (*Study, []*Outcome) {
	t.Helper()
	all := s.all(n, seed, nil, func(s *System, seed uint64) *Outcome { return s.twice(seed) })
	return s.summarise(all, seed), all
}

func TestStudyIsTheSameOnAnyNumberOfCores(t *testing.T) {
	s := system(t, edited(t, "incubator"))
	before := runtime.GOMAXPROCS(1)
	one, _ := studied(t, s, 12, 5)
	runtime.GOMAXPROCS(4)
	four, outcomes := studied(t, s, 12, 5)
	runtime.GOMAXPROCS(before)
	if d := cmp.Diff(one, four); d != "" {
		t.Errorf("one core and four differ:\n%s", d)
	}
	if one.Passed[Reference] != 12 || len(one.Worst) == 0 {
		t.Errorf("%+v", one)
	}
	// Runs are different, and each can be repeated by its seed alone.
	if outcomes[0].Loops[0].Watch[0].RMS == outcomes[1].Loops[0].Watch[0].RMS {
		t.Error("two runs are alike")
	}
	varied, _ := s.Varied(8)
	if again := varied.twice(8); again.Loops[0].Watch[0].RMS != outcomes[3].Loops[0].Watch[0].RMS {
		t.Error("a run cannot be repeated by its seed")
	}
}

func TestVariedStaysInsideTolerances(t *testing.T) {
	s := system(t, edited(t, "cart"))
	least, most := plant.Values{}, plant.Values{}
	for seed := range uint64(400) {
		v, chosen := s.Varied(seed)
		if len(chosen) != len(s.Scenario.Vary) {
			t.Fatalf("%d numbers were moved, expected %d", len(chosen), len(s.Scenario.Vary))
		}
		for k, x := range chosen {
			if _, ok := least[k]; !ok {
				least[k], most[k] = x, x
			}
			least[k], most[k] = min(least[k], x), max(most[k], x)
		}
		if v.Plant.Battery.Voltage != chosen["battery.voltage"] || v.Scenario.Start["pitch"] != chosen["start.pitch"] {
			t.Fatal("a number was chosen and not used")
		}
	}
	if s.Plant.Battery.Voltage != 7.7 || s.Scenario.Start["pitch"] != 5*math.Pi/180 {
		t.Error("the nominal plant was changed")
	}
	for _, tol := range s.Scenario.Vary {
		nominal, ok := s.Plant.Values[tol.Path]
		if !ok {
			nominal = s.Scenario.Start["pitch"]
		}
		if lo, hi := (nominal-least[tol.Path])/tol.Off, (most[tol.Path]-nominal)/tol.Off; lo < 0.9 || lo > 1+1e-9 || hi < 0.9 || hi > 1+1e-9 { // at a corner as far as float64 tells
			t.Errorf("%s moved by -%.3f to %.3f of its tolerance", tol.Path, lo, hi)
		}
	}
}
