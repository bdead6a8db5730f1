package model

import (
	"fmt"
	"math"
	"testing"

	"gainwright/model/simulate"
	"gainwright/model/tier"
)

// What the incubator may reach: the overshoot that its scenario allows, and the watched band.
const (
	incubatorMost = 37 + 2.0
	incubatorBand = 0.5

	incubatorWatch = "temperature: {target: 37 degC, band: 0.5 K, settles_in: 40 min, recovers_in: 30 min, overshoot: 2 K, steady_error: 0.2 K}"
)

// TestIncubatorBitStuck: with any bit of the temperature's register stuck, at 0 or at 1, from the start or from the middle of the run,
// or with all bits alike, the box never gets warmer than the scenario allows, and at the end its heater is off or the temperature stays in the band.
func TestIncubatorBitStuck(t *testing.T) {
	tier.Slow(t)
	type fault struct{ name, text string }
	var faults []fault
	for _, from := range []string{"0 s", "90 min"} {
		for bit := range 16 {
			for _, level := range []string{"low", "high"} {
				faults = append(faults, fault{fmt.Sprintf("bit %d %s from %s", bit, level, from), fmt.Sprintf("{at: %s, sensor: temperature, bit: %d, stuck: %s}", from, bit, level)})
			}
		}
		for _, counts := range []int{-1, 0} {
			faults = append(faults, fault{fmt.Sprintf("all bits %d from %s", -counts, from), fmt.Sprintf("{at: %s, sensor: temperature, reads: %d count}", from, counts)})
		}
		faults = append(faults, fault{"frozen from " + from, fmt.Sprintf("{at: %s, sensor: temperature, reads: frozen}", from)})
	}
	ends := map[string]int{}
	for _, f := range faults {
		s := closed(t, "incubator", "  disturbances:", "  faults: ["+f.text+"]\n  disturbances:",
			incubatorWatch, "temperature: {target: 37 degC, band: 0.5 K}") // a lasting fault leaves nothing undisturbed to judge
		highest, off, within := math.Inf(-1), true, true
		last := 0.0
		s.Follow(1, func(k *simulate.Tick) bool {
			last = k.Watched[simulate.Integer][0]
			highest = max(highest, last)
			if k.Time > s.Scenario.Duration-30*60 { // the door was shut an hour before
				off = off && k.Outputs[simulate.Integer][0] == 0
				within = within && math.Abs(last-37) <= incubatorBand
			}
			return true
		})
		end := "neither"
		switch {
		case off:
			end = "off"
		case within:
			end = "in the band"
		}
		ends[end]++
		t.Logf("%-26s %-12s highest %.2f, last %.2f degC", f.name, end, highest, last)
		if highest > incubatorMost || end == "neither" {
			t.Errorf("%s: highest %.2f degC, the heater at the end off: %v, in the band: %v", f.name, highest, off, within)
		}
	}
	if ends["off"] < 20 || ends["in the band"] < 10 {
		t.Errorf("the ends are %v: the faults were not there", ends)
	}
}

// Without the check of its reading the same box goes far beyond: the test above can fail.
func TestIncubatorUnchecked(t *testing.T) {
	s := closed(t, "incubator", "enable: believed, ", "", "  disturbances:", "  faults: [{at: 90 min, sensor: temperature, reads: -1 count}]\n  disturbances:")
	if w := s.Run(1, nil).Loops[simulate.Integer].Watch[0]; w.Highest < 60 {
		t.Errorf("with all bits 1 the unchecked box reaches %.1f degC", w.Highest)
	}
}
