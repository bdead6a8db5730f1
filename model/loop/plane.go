package loop

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gainwright/model/program"
)

// Plane is how much room the loop has over two of its live gains, the others as they are in force.
type Plane struct {
	Gains  [2]string     `json:"gains"` // keys, such as heat.kp: along x and along y
	Units  [2]string     `json:"units"`
	PID    string        `json:"pid"` // behind which the loop is cut
	Box    [2][2]float64 `json:"tuning_ranges"`
	Now    [2]float64    `json:"in_force"`
	X      []float64     `json:"x"`
	Y      []float64     `json:"y"`
	Room   [][]float64   `json:"room"` // by y, then x: 1 over the sensitivity peak; below 0 where the loop is not stable
	Stable bool          `json:"stable_now"`
}

// planePoints is the number of points each way: enough for smooth contours in a picture of some 400 points.
const planePoints = 33

// Plane looks at two live gains, named by their keys, over their tuning ranges and a quarter more to each side.
func (t *Tuning) Plane(x, y string) (*Plane, error) {
	p := &Plane{Gains: [2]string{x, y}}
	var at [2]int
	var lines [2][]float64
	now := t.Now()
	for i, key := range p.Gains {
		at[i] = slices.IndexFunc(t.Gains, func(g program.Gain) bool { return g.Key == key })
		if at[i] < 0 {
			var known []string
			for _, g := range t.Gains {
				known = append(known, g.Key)
			}
			return nil, fmt.Errorf("%q is no live gain; those of this spec are: %s", key, strings.Join(known, ", "))
		}
		lo, hi := t.span(at[i])
		p.Units[i], p.Box[i], p.Now[i] = t.Gains[at[i]].Unit, [2]float64{lo, hi}, now[at[i]]
		lines[i] = across(lo, hi)
	}
	if at[0] == at[1] {
		return nil, fmt.Errorf("a picture is drawn over two different gains, not over %q twice", x)
	}
	pid, err := t.pidOf(x)
	if err != nil {
		return nil, err
	}
	p.PID, p.X, p.Y = t.PIDs[pid], lines[0], lines[1]
	for _, b := range p.Y {
		row := make([]float64, 0, len(p.X))
		for _, a := range p.X {
			gains := slices.Clone(now)
			gains[at[0]], gains[at[1]] = a, b
			row = append(row, t.Room(gains, pid))
		}
		p.Room = append(p.Room, row)
	}
	p.Stable = t.At(now).Stable
	return p, nil
}

// across is a line of points over a range and a quarter more to each side, but not through 0 where the range is not: a gain has a sign.
func across(lo, hi float64) []float64 {
	room := (hi - lo) / 4
	if room == 0 {
		room = math.Max(math.Abs(lo)/4, 1e-9)
	}
	from, to := lo-room, hi+room
	if lo >= 0 {
		from = math.Max(from, 0)
	}
	if hi <= 0 {
		to = math.Min(to, 0)
	}
	out := make([]float64, planePoints)
	for i := range out {
		out[i] = from + (to-from)*float64(i)/float64(planePoints-1)
	}
	return out
}

// pidOf is the PID behind which the loop is cut for a gain: its own, else the first.
func (t *Tuning) pidOf(key string) (int, error) {
	if len(t.PIDs) == 0 {
		return 0, fmt.Errorf("the controller has no PID to cut the loop behind")
	}
	step, _, _ := strings.Cut(key, ".")
	return max(0, slices.Index(t.PIDs, step)), nil
}
