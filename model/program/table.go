package program

import (
	"math/big"
	"slices"
)

// Point is a corner of a real Table, in units.
type Point struct {
	X, Y      *big.Rat
	Line, Col int // of the spec
}

// Curve is an integer Table: straight lines from point to point, held beyond the first and the last. At x in line i it is
// Y[i] + floor(((x - X[i])*Slope[i] + 2^(Shift-1)) / 2^Shift), and each line ends in the next point.
type Curve struct {
	X, Y     []int64 // of the points, X rising
	Slope    []int64 // of each line, in 2^-Shift
	Shift    uint
	MaxError *big.Rat // proven, in counts: how far it is from the straight lines at most
}

// Eval is the curve at x.
func (c *Curve) Eval(x int64) int64 {
	x = min(max(x, c.X[0]), c.X[len(c.X)-1])
	i, _ := slices.BinarySearch(c.X[1:len(c.X)-1], x+1)
	return c.Y[i] + ((x-c.X[i])*c.Slope[i]+1<<(c.Shift-1))>>c.Shift
}

// Even is the length of all lines as a power of two; ok is false where they have no such length in common.
func (c *Curve) Even() (bits uint, ok bool) {
	length := c.X[1] - c.X[0]
	for i := range c.Slope {
		if c.X[i+1]-c.X[i] != length {
			return 0, false
		}
	}
	for ; length > 1; length /= 2 {
		if length%2 != 0 {
			return 0, false
		}
		bits++
	}
	return bits, true
}

// Ends are the least and the largest number that the curve gives.
func (c *Curve) Ends() (lo, hi int64) {
	lo, hi = slices.Min(c.Y), slices.Max(c.Y)
	for _, x := range c.X {
		y := c.Eval(x - 1) // a line may pass the point that it ends in by a count
		lo, hi = min(lo, y), max(hi, y)
	}
	return lo, hi
}

// products are the least and the largest number met between a place in a line and the height above its start.
func (c *Curve) products() (lo, hi int64) {
	half := int64(1) << (c.Shift - 1)
	hi = half
	for i, k := range c.Slope {
		p := (c.X[i+1]-c.X[i])*k + half
		lo, hi = min(lo, p-half), max(hi, p)
	}
	return lo, hi
}

// polyline is a real table in float64, as the emitted reference has it: slopes are rounded once, and each product.
func polyline(points []Point) func(k, x, _, _ float64) float64 {
	xs, ys, slopes := Corners(points)
	return func(_, x, _, _ float64) float64 {
		last := len(xs) - 1
		switch {
		case x <= xs[0]:
			return ys[0]
		case x >= xs[last]:
			return ys[last]
		}
		i := last - 1
		for x < xs[i] {
			i--
		}
		return ys[i] + float64(slopes[i]*(x-xs[i]))
	}
}

// Corners are the points of a real table and the slopes of its lines, each rounded once.
func Corners(points []Point) (xs, ys, slopes []float64) {
	for i, p := range points {
		x, _ := p.X.Float64()
		y, _ := p.Y.Float64()
		xs, ys = append(xs, x), append(ys, y)
		if i > 0 {
			k, _ := Chord(points, i-1).Float64()
			slopes = append(slopes, k)
		}
	}
	return xs, ys, slopes
}

// Chord is the slope of line i of a real table.
func Chord(points []Point, i int) *big.Rat {
	dx, dy := new(big.Rat).Sub(points[i+1].X, points[i].X), new(big.Rat).Sub(points[i+1].Y, points[i].Y)
	return dy.Quo(dy, dx)
}
