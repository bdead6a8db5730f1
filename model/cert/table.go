package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// The rules of a table: straight lines between points, held beyond the first and the last. The points of the real program with the stored constants are
// those of the integer one, in units: so the two differ by what the slopes and the last rounding lose, which is looked at for every count of every line.
func init() {
	const kind = program.Table
	shapes[kind] = &shape{args: 1, within: interval.Ints(program.I32.Range())}
	translationRules[kind] = func(t *translation, id program.ID, op *program.FixedOp, real *program.RealOp) (err error) {
		same := len(op.Curve.X) == len(real.Points)
		for i := 0; i < len(real.Points) && same; i++ {
			same = equal(mul(whole(op.Curve.X[i]), t.lsb(op, 0)), real.Points[i].X) && equal(mul(whole(op.Curve.Y[i]), op.LSB), real.Points[i].Y)
		}
		if t.tables[id], err = CurveError(op.Curve); err != nil {
			return err
		}
		return unless(same, "the points differ")
	}
	rangeRules[kind] = func(o *evaluated) (interval.Range, affine.Form) {
		if o.fixed != nil {
			return along(o.fixed.Ops[o.id].Curve, o.arg(0)), o.own()
		}
		return drawn(o.real.Ops[o.id].Points, o.arg(0)), o.own()
	}
	differenceRules[kind] = (*beside).looked
	driftRules[kind] = driftRule{nil, (*drifting).looked}
}

func whole(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }

// checkPoints verifies that there are points, and that they are in order.
func checkPoints(points []program.Point) error {
	for i, p := range points {
		if p.X == nil || p.Y == nil || i > 0 && points[i-1].X.Cmp(p.X) >= 0 {
			return fmt.Errorf("its points are not in order")
		}
	}
	return unless(len(points) >= 2, "a table has two points or more")
}

// checkCurve verifies the form of an integer table. It keeps every product of CurveError and of the emitted code inside 62 bits.
func checkCurve(c *program.Curve) error {
	bad := fmt.Errorf("the table is malformed")
	if c == nil || len(c.X) < 2 || len(c.Y) != len(c.X) || len(c.Slope) != len(c.X)-1 || c.Shift < 1 || c.Shift > 16 {
		return bad
	}
	small := func(n int64) bool { return -1<<31 <= n && n < 1<<31 }
	for i := range c.X {
		if !small(c.X[i]) || !small(c.Y[i]) {
			return bad
		}
	}
	for i, k := range c.Slope {
		length := c.X[i+1] - c.X[i]
		if length < 1 || length > 1<<c.Shift || -1<<45 > k || k > 1<<45 || c.X[len(c.X)-1]-c.X[0] > 1<<16 {
			return bad
		}
		if end := c.Y[i] + (length*k+1<<(c.Shift-1))>>c.Shift; end != c.Y[i+1] {
			return fmt.Errorf("line %d of the table ends at %d, the next point is at %d", i+1, end, c.Y[i+1])
		}
	}
	return nil
}

// CurveError is how far an integer table is from the straight lines between its points at most, in counts: the largest of
// |floor(f*slope/2^shift + 1/2) - f*rise/length| over all counts f of all lines. Beyond the first and the last point there is no difference.
func CurveError(c *program.Curve) (*big.Rat, error) {
	if err := checkCurve(c); err != nil {
		return nil, err
	}
	worst := new(big.Rat)
	for i, k := range c.Slope {
		length, rise, most := c.X[i+1]-c.X[i], c.Y[i+1]-c.Y[i], int64(0)
		for f := range length {
			off := ((f*k+1<<(c.Shift-1))>>c.Shift)*length - f*rise
			most = max(most, off, -off)
		}
		worst = interval.Max(worst, big.NewRat(most, length))
	}
	return worst, nil
}

// along is where an integer table leads. Each line rises or falls all along it, so its ends decide; it is left at the count before the next point.
func along(c *program.Curve, x interval.Range) interval.Range {
	last := len(c.X) - 1
	x = x.Limit(interval.Point(whole(c.X[0])), interval.Point(whole(c.X[last])))
	lo, hi := interval.Ceil(x.Lo).Int64(), interval.Floor(x.Hi).Int64()
	r := interval.Ints(c.Eval(lo), c.Eval(lo)).Hull(interval.Ints(c.Eval(hi), c.Eval(hi)))
	for _, corner := range c.X {
		for _, at := range []int64{corner - 1, corner} {
			if lo <= at && at <= hi {
				r = r.Hull(interval.Ints(c.Eval(at), c.Eval(at)))
			}
		}
	}
	return r
}

// drawn is where a real table leads: its values at both ends, and the points between.
func drawn(points []program.Point, x interval.Range) interval.Range {
	r := interval.Point(lineAt(points, x.Lo)).Hull(interval.Point(lineAt(points, x.Hi)))
	for _, p := range points {
		if x.Holds(interval.Point(p.X)) {
			r = r.Hull(interval.Point(p.Y))
		}
	}
	return r
}

// lineAt is a real table at x.
func lineAt(points []program.Point, x *big.Rat) *big.Rat {
	last := len(points) - 1
	x = interval.Min(interval.Max(x, points[0].X), points[last].X)
	i := 0
	for i < last-1 && x.Cmp(points[i+1].X) >= 0 {
		i++
	}
	y := mul(program.Chord(points, i), new(big.Rat).Sub(x, points[i].X))
	return y.Add(y, points[i].Y)
}

// slopes are those of a real table; beyond its ends it has none. The change of its value between two places is the change of place times a number
// among them, the mean of the slopes on the way.
func slopes(points []program.Point) interval.Range {
	r := interval.Point(new(big.Rat))
	for i := range len(points) - 1 {
		r = r.Hull(interval.Point(program.Chord(points, i)))
	}
	return r
}

// looked: the integer table is off its lines by the error of its slopes and its rounding, and the real program looks elsewhere.
func (o *beside) looked() gap {
	if !o.known || o.turn != nil {
		return gap{}
	}
	e := mul(o.t.tables[o.id], o.op.LSB)
	r := o.in[0].r.Mul(slopes(o.real.Points))
	return fresh(o.id, apart{known: true, r: r.Add(interval.Range{Lo: new(big.Rat).Neg(e), Hi: e})})
}

// looked: the table with the stored points at two places, and at one place the tables with the stored and with the asked points. Those differ by a
// broken line, whose ends and corners decide.
func (o *drifting) looked() apart {
	if !o.known || o.turn != nil {
		return apart{}
	}
	stored, asked := o.op.Points, o.a.Ops[o.id].Points
	var off *interval.Range
	for _, points := range [][]program.Point{stored, asked} {
		for _, p := range points {
			r := interval.Point(new(big.Rat).Sub(lineAt(stored, p.X), lineAt(asked, p.X)))
			if off != nil {
				r = r.Hull(*off)
			}
			off = &r
		}
	}
	return apart{known: true, r: o.in[0].r.Mul(slopes(stored)).Add(*off)}
}
