package simulate

import (
	"math"
	"os/exec"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

	"gainwright/model/tier"
)

// Spearman's coefficient of a worked example in many textbooks, IQ against hours of television: -29/165 = -0.1758 (from memory).
func TestRankCorrelation(t *testing.T) {
	iq := []float64{106, 100, 86, 101, 99, 103, 97, 113, 112, 110}
	hours := []float64{7, 27, 2, 50, 28, 29, 20, 12, 6, 17}
	if got := stat.Correlation(ranks(iq), ranks(hours), nil); math.Abs(got+29./165) > 1e-12 {
		t.Errorf("%g", got)
	}
	// Equal values share their mean place.
	if got := ranks([]float64{3, 1, 3, 3, 0}); got[0] != 3 || got[2] != 3 || got[3] != 3 || got[1] != 1 || got[4] != 0 {
		t.Errorf("%v", got)
	}
}

// With ties, against scipy.stats.spearmanr.
func TestRankCorrelationAgainstScipy(t *testing.T) {
	python := tier.Scipy(t)
	out, err := exec.Command(python, "-c", "from scipy import stats; print('%.15f' % stats.spearmanr([1,2,2,3,5,5,5,8], [4,1,4,9,2,2,6,5])[0])").Output()
	if err != nil {
		t.Fatal(err)
	}
	got := stat.Correlation(ranks([]float64{1, 2, 2, 3, 5, 5, 5, 8}), ranks([]float64{4, 1, 4, 9, 2, 2, 6, 5}), nil)
	if want := strings.TrimSpace(string(out)); math.Abs(got-number(t, want)) > 1e-12 {
		t.Errorf("%g, scipy says %s", got, want)
	}
}

// What decides is found: the incubator's recovery hangs on its losses and its heat capacity, its steady error on its sensor.
func TestInfluences(t *testing.T) {
	s := system(t, edited(t, "incubator"))
	st, _ := studied(t, s, 60, 1)
	first := map[string]string{}
	for _, f := range st.Influences {
		if len(f.Of) > 0 {
			first[f.Name] = f.Of[0].Path
			for i := 1; i < len(f.Of); i++ {
				if math.Abs(f.Of[i].Correlation) > math.Abs(f.Of[i-1].Correlation) {
					t.Errorf("%s: not in order: %v", f.Name, f.Of)
				}
			}
		}
	}
	if first["temperature steady error"] != "sensors.temperature.bias" || first["temperature settling"] == "" {
		t.Errorf("%v", first)
	}
	// Too few runs tell nothing.
	few, _ := studied(t, s, 4, 1)
	for _, f := range few.Influences {
		if len(f.Of) > 0 {
			t.Errorf("of 4 runs: %v", f)
		}
	}
}

// Every fourth run is at a corner, and the table says so; the quantiles are those of its columns.
func TestTableOfRuns(t *testing.T) {
	s := system(t, edited(t, "incubator"))
	st, _ := studied(t, s, 40, 1)
	lines := strings.Split(strings.TrimSpace(string(st.CSV())), "\n")
	head := strings.Split(lines[0], ",")
	if len(lines) != 41 || head[0] != "seed" || head[4] != "heat_capacity" || len(head) != 4+len(s.Scenario.Vary)+2*len(st.Spread) {
		t.Fatalf("%d lines, %s", len(lines), lines[0])
	}
	corners := 0
	for i, r := range st.Table {
		if got := len(strings.Split(lines[1+i], ",")); got != len(head) {
			t.Errorf("line %d has %d columns, expected %d", 1+i, got, len(head))
		}
		at := true
		for k, v := range s.Scenario.Vary {
			at = at && math.Abs(math.Abs(r.Drew[k]-s.Plant.Values[v.Path])-v.Off) < 1e-9*(1+v.Off)
		}
		if at != r.Corner || at != (r.Seed%4 == 0) {
			t.Errorf("seed %d: corner %v, drew %v", r.Seed, r.Corner, r.Drew)
		}
		if r.Corner {
			corners++
		}
	}
	if corners != 10 {
		t.Errorf("%d corners", corners)
	}
	for n, sp := range st.Spread {
		for l := range sp.Least {
			below, under := 0, 0
			for _, r := range st.Table {
				if v := r.Figures[l][n]; v <= sp.Low[l] {
					below++
					under++
				} else if v <= sp.High[l] {
					under++
				}
			}
			if below < 2 || under < 38 || sp.Least[l] > sp.Low[l] || sp.Low[l] > sp.Median[l] || sp.Median[l] > sp.High[l] || sp.High[l] > sp.Most[l] {
				t.Errorf("%s: %d at most the 5 %%, %d at most the 95 %%: %+v", sp.Name, below, under, sp)
			}
		}
	}
}
