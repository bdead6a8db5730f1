package scale

import (
	"fmt"
	"math/big"

	"gainwright/model/cert"
	"gainwright/model/finding"
	"gainwright/model/program"
)

// mostSpan is how many counts may lie between the first and the last point of a table.
const mostSpan = 1 << 16

// table writes a table down. What looks it up is taken in the format that it has, or in one as much coarser as makes it fit 32 bits, and the points 16.
func (e *emitter) table(v program.ID, op *program.RealOp, lsb *big.Rat) program.ID {
	s, points := op.Section, op.Points
	count := e.out.Ops[e.main[op.Args[0]]].LSB
	span := new(big.Rat).Sub(points[len(points)-1].X, points[0].X)
	counts := func(size *big.Rat) *big.Rat { return new(big.Rat).Quo(size, count) }
	for counts(e.Ranges[op.Args[0]].Size()).Cmp(two(wideBits-1)) >= 0 || counts(span).Cmp(big.NewRat(mostSpan-1, 1)) > 0 {
		count = new(big.Rat).Mul(count, two(1))
	}
	x := e.at(op.Args[0], count, s)
	curve, stored := &program.Curve{}, make([]program.Point, len(points))
	for i, p := range points {
		stored[i] = p
		a := e.pointAt(v, i, "x", p.X, count, e.Asked.Ops[op.Args[0]].Unit, &stored[i].X)
		curve.X = append(curve.X, a)
		curve.Y = append(curve.Y, e.pointAt(v, i, "y", p.Y, lsb, op.Unit, &stored[i].Y))
		if i > 0 && curve.X[i] <= curve.X[i-1] {
			e.together(v, i, count)
			return e.append(program.FixedOp{Op: program.Op{Kind: program.Table, Args: []program.ID{x}}, Curve: flat()}, v, lsb, s, "")
		}
	}
	e.result.Stored.Ops[v].Points = stored
	slopes(curve)
	var err error
	if curve.MaxError, err = cert.CurveError(curve); err != nil {
		e.fail(s, "table-too-steep", e.Asked.Sections[s].Key()+".points", "points whose values lie closer to one another, or a coarser pinned format", "%v", err)
		curve = flat()
	}
	return e.append(program.FixedOp{Op: program.Op{Kind: program.Table, Args: []program.ID{x}}, Curve: curve}, v, lsb, s, "")
}

// flat stands for a table that is refused.
func flat() *program.Curve {
	return &program.Curve{X: []int64{0, 1}, Y: []int64{0, 0}, Slope: []int64{0}, Shift: 1, MaxError: new(big.Rat)}
}

// pointAt stores one number of a point.
func (e *emitter) pointAt(v program.ID, i int, axis string, asked, lsb *big.Rat, unit string, stored **big.Rat) int64 {
	n := nearest(new(big.Rat).Quo(asked, lsb))
	*stored = new(big.Rat).Mul(new(big.Rat).SetInt(n), lsb)
	section := e.Asked.Ops[v].Section
	if n.BitLen() > wideBits-1 {
		e.fail(section, "constant-too-large", e.Asked.Sections[section].Key()+".points", "a smaller number, or a coarser pinned format", "%s of point %d needs more than 32 bits", axis, i+1)
		return 0
	}
	if asked.Sign() != 0 {
		e.note(Constant{Of: program.None, Name: fmt.Sprintf("%s_%s%d", e.Asked.Sections[section].Name, axis, i+1), Unit: unit, Asked: asked, Stored: *stored, Count: n.Int64(), LSB: lsb, Section: section, Point: true})
	}
	return n.Int64()
}

// together tells of two points whose places are the same count.
func (e *emitter) together(v program.ID, i int, count *big.Rat) {
	op := &e.Asked.Ops[v]
	p, q := op.Points[i-1], op.Points[i]
	a, _ := p.X.Float64()
	b, _ := q.X.Float64()
	step, _ := count.Float64()
	pos := e.Place(op.Section)
	pos.Line, pos.Col = q.Line, q.Col
	e.result.Findings.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: "points-together", Key: e.Asked.Sections[op.Section].Key() + ".points",
		Message: fmt.Sprintf("the points at %.6g and %.6g (line %d, column %d) fall together: their places are counted in steps of %.3g", a, b, p.Line, p.Col, step),
		Remedy:  "one of the two points left out, or points further apart"})
}

// slopes are those of the lines of a table, the nearest to their chords in 2^-shift. The shift is the largest at which every slope fits 16 bits, the product of
// a place and a slope 32 bits: no larger than 16, and no smaller than makes each line end in the next point.
func slopes(c *program.Curve) {
	least, most := uint(1), uint(16)
	for i := range len(c.X) - 1 {
		for c.X[i+1]-c.X[i] > 1<<least {
			least++
		}
	}
	for c.Shift = most; ; c.Shift-- {
		c.Slope = nil
		small := true
		for i := range len(c.X) - 1 {
			k := nearest(big.NewRat((c.Y[i+1]-c.Y[i])<<c.Shift, c.X[i+1]-c.X[i])).Int64()
			c.Slope = append(c.Slope, k)
			small = small && -1<<15 <= k && k < 1<<15 && max(k, -k)*(c.X[i+1]-c.X[i])+1<<(c.Shift-1) < 1<<31
		}
		if small || c.Shift == least {
			return
		}
	}
}
