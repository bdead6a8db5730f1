package loop

import (
	"math"
	"math/cmplx"
	"testing"

	"gainwright/model/tier"
	"gainwright/templates"
)

// With the gains as they are the loop over gains is the loop itself; with others it is the loop of a spec that has those.
func TestTuningIsTheLoop(t *testing.T) {
	tier.Slow(t)
	for name, change := range map[string][]string{
		"cart":      {"kp: 41, ki: 650, kd: 1.5", "kp: 50, ki: 450, kd: 1.9"},
		"heading":   {"kp: 4.2, ki: 0.8", "kp: 11, ki: 3"},
		"incubator": {"kp: 12, ki: 0.02", "kp: 40, ki: 0.1"},
		"pan":       {"kp: 14, ki: 20, kd: 0.6", "kp: 35, ki: 60, kd: 1.5"},
		"spindle":   {"kp: 0.6, ki: 9", "kp: 3, ki: 50"},
	} {
		s, other := starter(t, name), starter(t, name, change...)
		tuning, err := s.Tuning()
		if err != nil {
			t.Fatal(err)
		}
		for _, of := range []*System{s, other} {
			v := view(t, of)
			var gains []float64
			for _, g := range of.Asked.Gains {
				x, _ := g.Value.Float64()
				gains = append(gains, x)
			}
			r := tuning.At(gains)
			radius, damping := 0.0, 1.0
			for _, p := range v.Poles {
				radius = math.Max(radius, cmplx.Abs(complex(p.Asked.Re, p.Asked.Im)))
				if z := cmplx.Log(complex(p.Asked.Re, p.Asked.Im)); cmplx.Abs(complex(p.Asked.Re, p.Asked.Im)) > 0.1 {
					damping = math.Min(damping, -real(z)/cmplx.Abs(z))
				}
			}
			close(t, name+" radius", r.Radius, radius, 1e-9)
			close(t, name+" damping", r.Damping, damping, 1e-6)
			if r.Stable != v.Stable[0] {
				t.Errorf("%s: stable %v, the view says %v", name, r.Stable, v.Stable[0])
			}
			for _, pid := range tuning.PIDs {
				got, err := tuning.Peak(pid, gains)
				if err != nil {
					t.Fatal(err)
				}
				for _, c := range v.Cuts {
					if c.PID == pid && r.Stable {
						close(t, name+" sensitivity peak behind "+pid, got, c.Margins[0].Peak, 1e-6)
					}
				}
			}
		}
	}
}

func TestTuningOfNothing(t *testing.T) {
	s := system(t, motor)
	tuning, err := s.Tuning()
	if err != nil {
		t.Fatal(err)
	}
	if len(tuning.Gains) != 0 || !tuning.At(nil).Stable {
		t.Errorf("a loop without live gains: %d gains", len(tuning.Gains))
	}
}

func BenchmarkTuning(b *testing.B) {
	for _, name := range []string{"cart", "pan"} {
		s := compiled(b, string(templates.Starter(name)))
		tuning, err := s.Tuning()
		if err != nil {
			b.Fatal(err)
		}
		var gains []float64
		for _, g := range tuning.Gains {
			x, _ := g.Value.Float64()
			gains = append(gains, x)
		}
		b.Run(name+" poles", func(b *testing.B) {
			for b.Loop() {
				tuning.At(gains)
			}
		})
		b.Run(name+" peak", func(b *testing.B) {
			for b.Loop() {
				if _, err := tuning.Peak(tuning.PIDs[0], gains); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
