package chart

import (
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"
)

func wave(n int) Series {
	s := Series{Name: "wave"}
	for i := range n {
		s.X, s.Y = append(s.X, float64(i)), append(s.Y, math.Sin(float64(i)))
	}
	return s
}

// Thin keeps the largest and the least value, wherever they stand, and the order.
func TestThin(t *testing.T) {
	for _, at := range []int{0, 1, 5000, 99998, 99999} {
		s := wave(100000)
		s.Y[at], s.Y[(at+50000)%100000] = 7, -8
		got := s.Thin()
		_, _, lo, hi := got.DataRange()
		if lo != -8 || hi != 7 {
			t.Errorf("peaks at %d: [%g, %g]", at, lo, hi)
		}
		if len(got.X) > 510 {
			t.Errorf("%d points are left", len(got.X))
		}
		for i := 1; i < len(got.X); i++ {
			if got.X[i] <= got.X[i-1] {
				t.Fatalf("point %d is out of order", i)
			}
		}
		if len(s.X) != 100000 {
			t.Error("the series itself was changed")
		}
	}
	if s := wave(700); len(s.Thin().X) != 700 {
		t.Error("a short series was thinned")
	}
}

func TestBetween(t *testing.T) {
	if s := wave(10).Between(3, 5); len(s.X) != 3 || s.X[0] != 3 || s.Y[2] != math.Sin(5) {
		t.Errorf("%v", s)
	}
}

func TestMarks(t *testing.T) {
	for _, c := range []struct {
		least, most, step float64
		want              string
	}{
		{0, 10, 0, "0 2 4 6 8 10"}, {-0.01, 0.013, 0, "-0.010 -0.005 0 0.005 0.010"}, {-200, -80, 90, "-180 -90"}, {0, 3e7, 0, "0 1e+07 2e+07 3e+07"},
		{1, 1e-300, 0, ""}, {math.Inf(-1), math.Inf(1), 0, ""},
	} {
		var labels []string
		for _, m := range (marks{step: c.step}).Ticks(c.least, c.most) {
			labels = append(labels, m.Label)
		}
		if got := strings.Join(labels, " "); got != c.want {
			t.Errorf("%g to %g: %s, expected %s", c.least, c.most, got, c.want)
		}
	}
}

// Whatever the numbers, a picture is well-formed, the same twice, and holds no number that is none.
func TestAnyNumbers(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for name, s := range map[string]Series{
		"none": {}, "one": {X: []float64{1}, Y: []float64{1}}, "flat": {X: []float64{0, 1}, Y: []float64{5, 5}}, "zero": {X: []float64{0, 1}, Y: []float64{0, 0}},
		"gap": {X: []float64{0, 1, 2, 3, 4}, Y: []float64{0, 1, nan, 2, inf}}, "huge": {X: []float64{0, 1}, Y: []float64{-1e300, 1e300}}, "tiny": {X: []float64{0, 1}, Y: []float64{0, 1e-300}},
		"largest": {X: []float64{0, 1}, Y: []float64{-math.MaxFloat64, math.MaxFloat64}},
	} {
		s.Name = `<&">`
		p := Picture{ID: "x", Title: `<&">`, Description: `<&">`, X: Axis{Label: `<&">`}, Y: Axis{Label: "y"}, Series: []Series{s, {Name: "dots", Dots: true, Look: Reference, X: s.X, Y: s.Y}}}
		for _, form := range []Picture{p, {ID: "y", Square: true, Title: "t", Description: "d", Series: p.Series, X: Axis{Least: -1, Most: 1, Fixed: true}, Y: Axis{Least: -1, Most: 1, Fixed: true}}} {
			svg, err := form.SVG()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if again, _ := form.SVG(); again != svg {
				t.Errorf("%s: two drawings differ", name)
			}
			if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
				t.Errorf("%s: a number that is none", name)
			}
			for d := xml.NewDecoder(strings.NewReader(svg)); ; {
				if _, err := d.Token(); err == io.EOF {
					break
				} else if err != nil {
					t.Fatalf("%s: %v\n%s", name, err, svg)
				}
			}
		}
	}
}

// Series can be told apart without colour, and every colour is the page's.
func TestLooks(t *testing.T) {
	p := Picture{ID: "x", Title: "t", Description: "d"}
	for l := Integer; l <= Apart; l++ {
		p.Series = append(p.Series, Series{Name: "s", Look: l, X: []float64{0, 1}, Y: []float64{0, float64(l)}})
	}
	svg, err := p.SVG()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"var(--integer)", "var(--reference)", "var(--target)", "var(--apart)", "var(--ink)", "var(--faint)", "stroke-dasharray:5,3", "stroke-dasharray:1.2,2.4", "stroke-width:2.4", "<text"} {
		if !strings.Contains(svg, want) {
			t.Errorf("%s is missing", want)
		}
	}
	if strings.Contains(svg, "#") {
		t.Error("a colour of its own")
	}
}
