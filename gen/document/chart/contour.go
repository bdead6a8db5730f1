package chart

import (
	"math"
	"slices"
)

// Contour is the line at which a value over a grid is equal to a level, by marching squares: straight between the edges of the grid, on
// which the value is taken as linear. x and y rise; z holds a row for each y. Where a saddle leaves it open which corners belong together,
// their mean decides. The lines stand one behind the other with a point that is no number between them, in the order in which
// their first squares come, so that the same grid gives the same bytes.
func Contour(x, y []float64, z [][]float64, level float64) (xs, ys []float64) {
	t := tracer{x: x, y: y, z: z, level: level, ends: map[edge][]int{}}
	for j := 0; j+1 < len(y); j++ {
		for i := 0; i+1 < len(x); i++ {
			t.square(i, j)
		}
	}
	done := make([]bool, len(t.pieces))
	for first := range t.pieces {
		if done[first] {
			continue
		}
		done[first] = true
		line := []edge{t.pieces[first][0], t.pieces[first][1]}
		line = t.follow(line, done)
		slices.Reverse(line)
		for _, e := range t.follow(line, done) {
			px, py := t.point(e)
			xs, ys = append(xs, px), append(ys, py)
		}
		xs, ys = append(xs, math.NaN()), append(ys, math.NaN())
	}
	return xs, ys
}

// edge is a side of squares: from the corner i, j to the right, or upright.
type edge struct {
	i, j    int
	upright bool
}

// tracer holds the pieces of contours, each from one edge of a square to another.
type tracer struct {
	x, y   []float64
	z      [][]float64
	level  float64
	pieces [][2]edge
	ends   map[edge][]int // pieces by the edges that they end at
}

func (t *tracer) above(i, j int) bool { return t.z[j][i] > t.level }

// square adds the pieces inside the square with the lower left corner i, j.
func (t *tracer) square(i, j int) {
	corners := [4]bool{t.above(i, j), t.above(i+1, j), t.above(i+1, j+1), t.above(i, j+1)}
	sides := [4]edge{{i, j, false}, {i + 1, j, true}, {i, j + 1, false}, {i, j, true}} // from each corner to the next
	var cut []edge
	for k, s := range sides {
		if corners[k] != corners[(k+1)%4] {
			cut = append(cut, s)
		}
	}
	if len(cut) == 4 && ((t.z[j][i]+t.z[j][i+1]+t.z[j+1][i]+t.z[j+1][i+1])/4 > t.level) != corners[0] {
		cut = append(cut[3:], cut[:3]...) // the first corner stands alone
	}
	for k := 0; k+1 < len(cut); k += 2 {
		for _, e := range cut[k : k+2] {
			t.ends[e] = append(t.ends[e], len(t.pieces))
		}
		t.pieces = append(t.pieces, [2]edge{cut[k], cut[k+1]})
	}
}

// follow goes on from the end of a line as long as there are pieces.
func (t *tracer) follow(line []edge, done []bool) []edge {
	for {
		end, found := line[len(line)-1], false
		for _, p := range t.ends[end] {
			if !done[p] {
				done[p], found = true, true
				next := t.pieces[p][0]
				if next == end {
					next = t.pieces[p][1]
				}
				line = append(line, next)
				break
			}
		}
		if !found {
			return line
		}
	}
}

// point is where the level lies on an edge.
func (t *tracer) point(e edge) (x, y float64) {
	a, b := t.z[e.j][e.i], 0.0
	if e.upright {
		b = t.z[e.j+1][e.i]
		return t.x[e.i], t.y[e.j] + (t.y[e.j+1]-t.y[e.j])*(t.level-a)/(b-a)
	}
	b = t.z[e.j][e.i+1]
	return t.x[e.i] + (t.x[e.i+1]-t.x[e.i])*(t.level-a)/(b-a), t.y[e.j]
}
