package loop

import (
	"fmt"
	"math"

	"gainwright/model/program"
)

// controller is a program close to its working point: x' = A*x + B*in + E*e, out = C*x + D*in + F*e, all as deviations
// and in units. Limits are inactive there, switches stand as they do, an output with a least effort drives.
type controller struct {
	of        program.Dialect
	p         program.View
	units     []float64 // of one count of each operation; 1 in a real program
	states    []int     // of the program; those that hold a constant are left out
	a, b, e   matrix
	c, d, f   matrix
	residues  []residue
	angles    []angle
	value     []float64 // of each operation at the working point
	decisions []bool    // of each Select, Min, Max and Abs: the first branch counts
	moves     []motion  // of each state
	notes     []string
	cut       program.ID // where the loop is cut; None: nowhere
	open      form       // what arrives there
	behind    struct {
		state, output []float64 // what leaves from there
	}
}

// motion is what becomes of a state at the working point.
type motion uint8

const (
	follows motion = iota // it becomes Next
	held                  // it keeps its value
	reset                 // it becomes ResetTo
)

// residue is where arithmetic rounding enters: operation op, with at most most units.
type residue struct {
	op   program.ID
	most float64
}

// angle is an arctangent: its derivatives by its two arguments, and what they read, in terms of states, inputs and residues.
type angle struct {
	op      program.ID
	residue int // -1: the program has an exact one
	dy, dx  float64
	y, x    form
}

// near takes a program to its working point and finds the linear map of one tick there.
func near(p program.Dialect, raw []int64) *controller {
	return linearise(p, settled(p, raw), program.None)
}

// linearise finds the linear map of one tick where every operation has the given value: every operation is differentiated exactly, by
// the chain rule, where the switches stand as the settled program sets them. Where the program is cut at a signal, other sections do not see what
// arrives there.
func linearise(of program.Dialect, value []float64, cut program.ID) *controller {
	p := of.View()
	fixed, integer := of.(*program.Fixed)
	c := &controller{of: of, p: p, units: units(of), value: value, decisions: make([]bool, len(p.Ops)), moves: make([]motion, len(p.States)), cut: cut}
	lsb := func(id program.ID) float64 { return c.units[id] }
	for i, op := range p.Ops {
		switch {
		case op.Kind.Of().Rounds && integer && !op.Bool:
			c.residues = append(c.residues, residue{program.ID(i), lsb(program.ID(i)) / 2})
		case op.Kind == program.Angle && integer:
			most, _ := fixed.Ops[i].Arctan.MaxError.Float64()
			c.residues = append(c.residues, residue{program.ID(i), most * lsb(program.ID(i))})
		case op.Kind == program.Table && integer:
			most, _ := fixed.Ops[i].Curve.MaxError.Float64()
			c.residues = append(c.residues, residue{program.ID(i), most * lsb(program.ID(i))})
		}
	}
	ns, ni, nr := len(p.States), len(p.Inputs), len(c.residues)
	zero := make(form, ns+ni+nr+1) // the last: what leaves the cut
	forms := make([]form, len(p.Ops))
	next := 0
	for i := range p.Ops {
		op := p.Ops[i]
		arg := func(n int) form { return c.seen(forms, op.Args[n], op.Section) }
		val := func(n int) float64 { return c.value[op.Args[n]] }
		f := zero
		switch op.Kind {
		case program.Const, program.Coef, program.Less, program.LessEqual, program.And, program.Or, program.Not: // at rest
		case program.Input:
			if !p.Inputs[op.Index].IsSwitch {
				f = zero.with(ns+op.Index, 1)
			}
		case program.State:
			if !p.States[op.Index].Bool {
				f = zero.with(op.Index, 1)
			}
		case program.Add:
			f = mix(1, arg(0), 1, arg(1))
		case program.Sub:
			f = mix(1, arg(0), -1, arg(1))
		case program.Scale:
			k, _ := op.K.Float64()
			f = mix(k*lsb(program.ID(i))/lsb(op.Args[0]), arg(0), 0, zero)
		case program.Mul:
			f = mix(val(1), arg(0), val(0), arg(1))
		case program.Quotient:
			f = mix(1/val(1), arg(0), -val(0)/(val(1)*val(1)), arg(1))
			if integer {
				f = f.with(ns+ni+next, 1)
				next++
			}
		case program.Root:
			slope := 0.0
			if x := val(0); x > 0 {
				slope = 1 / (2 * math.Sqrt(x))
			}
			f = mix(slope, arg(0), 0, zero)
			if integer {
				f = f.with(ns+ni+next, 1)
				next++
			}
		case program.Table:
			f = mix(slopeOf(of, i, val(0), c.units), arg(0), 0, zero)
			if integer {
				f = f.with(ns+ni+next, 1)
				next++
			}
		case program.Round:
			f = arg(0).with(ns+ni+next, 1)
			next++
		case program.Clamp, program.Wrap:
			f = arg(0)
		case program.Min, program.Max:
			f = arg(0)
			c.decisions[i] = (val(0) <= val(1)) == (op.Kind == program.Min)
			if !c.decisions[i] {
				f = arg(1)
			}
		case program.Abs:
			if f = arg(0); val(0) < 0 {
				f = mix(-1, f, 0, zero)
			}
			c.decisions[i] = val(0) >= 0
		case program.Select:
			// The last stage of an output with a least effort drives.
			c.decisions[i] = val(0) != 0 || p.Sections[op.Section].Role == program.Stage
			if f = arg(2); c.decisions[i] {
				f = arg(1)
			}
		case program.Angle:
			turn, _ := program.Turn(op.Unit).Float64()
			y, x := val(0), val(1)
			scale := turn / (2 * math.Pi) / (x*x + y*y)
			if x == 0 && y == 0 {
				scale = 0
				c.notes = append(c.notes, "the arctangent "+op.Name+" has no direction at rest: it counts as constant")
			}
			a := angle{op: program.ID(i), residue: -1, dy: x * scale, dx: -y * scale, y: arg(0), x: arg(1)}
			f = mix(a.dy, arg(0), a.dx, arg(1))
			if integer {
				f = f.with(ns+ni+next, 1)
				a.residue = next
				next++
			}
			c.angles = append(c.angles, a)
		default:
			panic(fmt.Sprintf("loop: no derivative of %v", op.Kind))
		}
		if op.Bool {
			f = zero
		}
		forms[i] = f
	}
	c.finish(forms)
	return c
}

// slopeOf is the slope of a table where x, in units, is looked up; beyond its points it has none.
func slopeOf(of program.Dialect, id int, x float64, units []float64) float64 {
	if p, real := of.(*program.Real); real {
		xs, _, slopes := program.Corners(p.Ops[id].Points)
		return slopeAt(xs, slopes, x)
	}
	op := &of.(*program.Fixed).Ops[id]
	from, to := units[op.Args[0]], units[id]
	var xs, slopes []float64
	for i, at := range op.Curve.X {
		xs = append(xs, float64(at)*from)
		if i > 0 {
			slopes = append(slopes, float64(op.Curve.Y[i]-op.Curve.Y[i-1])*to/(float64(at-op.Curve.X[i-1])*from))
		}
	}
	return slopeAt(xs, slopes, x)
}

func slopeAt(xs, slopes []float64, x float64) float64 {
	if x < xs[0] || x > xs[len(xs)-1] {
		return 0
	}
	i := len(slopes) - 1
	for x < xs[i] {
		i--
	}
	return slopes[i]
}

// seen is a value as a section sees it.
func (c *controller) seen(forms []form, id program.ID, section int) form {
	if id == c.cut && section != c.p.Ops[id].Section {
		return make(form, len(forms[id])).with(len(forms[id])-1, 1)
	}
	return forms[id]
}

// finish takes the forms of all operations apart into matrices.
func (c *controller) finish(forms []form) {
	p := c.p
	var next []form
	for i, s := range p.States {
		f := c.seen(forms, s.Next, s.Section)
		switch {
		case s.Reset != program.None && c.value[s.Reset] != 0:
			f, c.moves[i] = c.seen(forms, s.ResetTo, s.Section), reset
		case s.Enable != program.None && c.value[s.Enable] == 0:
			c.moves[i] = held
		}
		constant := c.moves[i] == held || s.Bool || f.is(i)
		if !constant {
			c.states = append(c.states, i)
			next = append(next, f)
		}
	}
	c.a, c.b, c.e = c.split(next)
	var outs []form
	for _, o := range p.Outputs {
		outs = append(outs, c.seen(forms, o.Value, -1))
	}
	c.c, c.d, c.f = c.split(outs)
	if c.cut != program.None {
		c.open = forms[c.cut]
		for _, f := range next {
			c.behind.state = append(c.behind.state, f[len(f)-1])
		}
		for _, f := range outs {
			c.behind.output = append(c.behind.output, f[len(f)-1])
		}
	}
}

// split takes forms apart into what hangs on the states that move, on the inputs and on the residues.
func (c *controller) split(fs []form) (x, in, e matrix) {
	ns, ni, nr := len(c.p.States), len(c.p.Inputs), len(c.residues)
	x, in, e = zeros(len(fs), len(c.states)), zeros(len(fs), ni), zeros(len(fs), nr)
	for i, f := range fs {
		for j, s := range c.states {
			x[i][j] = f[s]
		}
		copy(in[i], f[ns:ns+ni])
		copy(e[i], f[ns+ni:ns+ni+nr])
	}
	return x, in, e
}

// slope is what one output's last stage multiplies by: less than 1 where a least effort takes its share.
func (c *controller) slope(section string) float64 {
	for i, op := range c.p.Ops {
		if op.Kind == program.Select && c.p.Sections[op.Section].Name == section && c.p.Sections[op.Section].Role == program.Stage && c.decisions[i] {
			if drive := c.p.Ops[op.Args[1]]; drive.Kind == program.Add {
				if share := c.p.Ops[drive.Args[0]]; share.Kind == program.Scale {
					k, _ := share.K.Float64()
					return k * c.units[drive.Args[0]] / c.units[share.Args[0]]
				}
			}
		}
	}
	return 1
}
