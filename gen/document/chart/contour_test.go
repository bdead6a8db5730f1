package chart

import (
	"math"
	"testing"
)

// grid is a function over [-1, 1] in both directions.
func over(n int, f func(x, y float64) float64) (x []float64, z [][]float64) {
	for i := range n {
		x = append(x, -1+2*float64(i)/float64(n-1))
	}
	for _, b := range x {
		var row []float64
		for _, a := range x {
			row = append(row, f(a, b))
		}
		z = append(z, row)
	}
	return x, z
}

// lines counts the lines of a contour, and how many of them end where they begin.
func lines(xs, ys []float64) (all, closed int) {
	from := 0
	for i := range xs {
		if math.IsNaN(xs[i]) {
			all++
			if xs[from] == xs[i-1] && ys[from] == ys[i-1] {
				closed++
			}
			from = i + 1
		}
	}
	return all, closed
}

// A circle is one closed line at its radius, a plane one straight line, and a saddle two lines.
func TestContour(t *testing.T) {
	x, z := over(41, func(x, y float64) float64 { return x*x + y*y })
	xs, ys := Contour(x, x, z, 0.49)
	if all, closed := lines(xs, ys); all != 1 || closed != 1 {
		t.Errorf("a circle is %d lines, %d of them closed", all, closed)
	}
	for i := range xs {
		if r := math.Hypot(xs[i], ys[i]); math.Abs(r-0.7) > 1e-3 {
			t.Errorf("a point of the circle is %g from its middle", r)
		}
	}
	x, z = over(7, func(x, y float64) float64 { return x + 2*y })
	xs, ys = Contour(x, x, z, 0.25)
	if all, closed := lines(xs, ys); all != 1 || closed != 0 || len(xs) < 7 {
		t.Errorf("a plane is cut in %d lines, %d of them closed", all, closed)
	}
	for i := range xs {
		if v := xs[i] + 2*ys[i]; math.Abs(v-0.25) > 1e-12 {
			t.Errorf("a point of the line has the value %g", v)
		}
	}
	for _, level := range []float64{-0.01, 0.01} {
		x, z = over(8, func(x, y float64) float64 { return x * y })
		xs, ys = Contour(x, x, z, level)
		if all, closed := lines(xs, ys); all != 2 || closed != 0 {
			t.Errorf("a saddle is %d lines, %d of them closed", all, closed)
		}
		for i := range xs {
			if xs[i]*ys[i]*level < -1e-12 {
				t.Errorf("level %g: %g, %g lies on the wrong side", level, xs[i], ys[i])
			}
		}
	}
	if xs, _ := Contour(x, x, z, 5); len(xs) != 0 {
		t.Error("a level that is not reached has a line")
	}
}
