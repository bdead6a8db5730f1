package c

import (
	"math"
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

func atanCounts(i, n, quarter int64) int64 {
	return int64(math.Round(math.Atan(float64(i)/float64(n)) / (math.Pi / 2) * float64(quarter)))
}

func power(n int) *big.Rat {
	return new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Lsh(big.NewInt(1), uint(n)))
}

// unitsFrom gives values made since the operation from a unit and what a count stands for.
func (b *builder) unitsFrom(from program.ID, unit string, lsb *big.Rat) {
	for i := from; int(i) < len(b.p.Ops); i++ {
		if op := &b.p.Ops[i]; op.LSB == nil && op.Type != program.Bool {
			op.Unit, op.LSB = unit, lsb
			if op.Kind == program.State {
				s := &b.p.States[op.Index]
				s.Unit, s.LSB = unit, lsb
			}
		}
	}
}

// cart is a small balancing loop: lean by arctangent, tilt by a complementary form, live gains, a
// clamped integral that is held while the cart lies down.
func cart(t testing.TB) *model.Unit {
	b := newBuilder(t, "cart")
	g, deg := big.NewRat(1, 16384), power(6)
	forward := b.input("accel_forward", program.I16, "g", g)
	up := b.input("accel_up", program.I16, "g", g)
	rate := b.input("pitch_rate", program.I16, "deg/s", big.NewRat(1, 131))
	upright := b.input("upright", program.Bool, "", nil)
	for i := range 2 {
		b.p.Inputs[i].Lo, b.p.Inputs[i].Hi = big.NewRat(-19, 10), big.NewRat(19, 10)
	}
	b.p.Inputs[2].Lo, b.p.Inputs[2].Hi = big.NewRat(-240, 1), big.NewRat(240, 1)

	b.begin("lean", "angle", "The direction of gravity as the accelerometer sees it, limited to half a turn.", "lean = angle(accel_forward, accel_up) within [-90, 90]")
	at := b.angle("lean_all_round", "lean on the full circle", arctanTable(13, 5, 90*64), forward, up)
	lo, hi := b.constant("lean_low", -90*64), b.constant("lean_high", 90*64)
	lean := b.op(program.Clamp, "lean", "lean", at, lo, hi)
	b.unitsFrom(at, "deg", deg)
	b.signal("lean", lean)

	b.begin("tilt", "complementary", "Lean in the long run, integrated pitch rate in the short run.", "tilt += 0.02 * (lean - tilt) + rate / 200")
	tilt := b.state("tilt", "tilt with its fraction", 0, -1<<29, 1<<29, program.NoType)
	before := b.round("tilt_rounded", "tilt as it was", 16, tilt)
	b.unitsFrom(tilt, "deg", power(22))
	gap := b.op(program.Sub, "gap", "lean less tilt", lean, before)
	b.unitsFrom(gap, "deg", deg)
	pull := b.scale("pull", "share of the gap that is closed in this tick", 1311, gap)
	turned := b.scale("turned", "what the gyroscope says the cart turned in this tick", 160, rate)
	moved := b.op(program.Add, "moved", "change of tilt", pull, turned)
	raw := b.op(program.Add, "tilt_raw", "tilt before its limits", tilt, moved)
	limit, least := b.constant("tilt_high", 1<<29), b.constant("tilt_low", -1<<29)
	next := b.op(program.Clamp, "tilt_wide", "tilt with its fraction", raw, least, limit)
	b.unitsFrom(pull, "deg", power(22))
	now := b.round("tilt", "tilt", 16, next)
	b.unitsFrom(now, "deg", deg)
	b.contract(tilt, next, program.None, program.None, program.None)
	b.signal("tilt", now)

	b.begin("effort", "pid", "Parallel PID on tilt with a clamped integral; the derivative comes from the pitch rate.", "effort = kp * tilt + integral + kd * pitch_rate within [-255, 255]")
	kp := b.gain("effort_kp", "effort.kp", program.Setter{Digits: 3, XLo: 0, XHi: 60000, XStart: 24000, M: 68719, Shift: 18}, power(8))
	ki := b.gain("effort_ki", "effort.ki", program.Setter{Digits: 2, XLo: 0, XHi: 40000, XStart: 14000, M: 3355, Shift: 12}, power(14))
	kd := b.gain("effort_kd", "effort.kd", program.Setter{Digits: 3, XLo: 0, XHi: 3000, XStart: 800, M: 500, Shift: 6}, power(14))
	integral := b.state("integral", "integral part", 0, -255<<16, 255<<16, program.NoType)
	low, high := b.constant("effort_low", -255<<16), b.constant("effort_high", 255<<16)
	grown := b.op(program.Mul, "grown", "what this tick adds to the integral", ki, now)
	sum := b.op(program.Add, "integral_raw", "integral before its limits", integral, grown)
	held := b.op(program.Clamp, "integral", "integral part", sum, low, high)
	prop := b.op(program.Mul, "proportional", "proportional part", kp, now)
	deriv := b.op(program.Mul, "derivative", "derivative part", kd, rate)
	pi := b.op(program.Add, "two_parts", "proportional and integral part", prop, held)
	all := b.op(program.Add, "effort_raw", "effort before its limits", pi, deriv)
	wide := b.op(program.Clamp, "effort_wide", "effort with its fraction", all, low, high)
	b.unitsFrom(integral, "duty", power(16))
	effort := b.round("effort", "effort", 16, wide)
	b.unitsFrom(effort, "duty", big.NewRat(1, 1))
	down := b.op(program.Not, "down", "the cart lies down", upright)
	zero := b.constant("nothing", 0)
	b.contract(integral, held, program.None, down, zero)
	b.signal("effort", effort)

	b.begin("drive", "output", "Effort while upright, else nothing.", "drive = upright ? effort : 0")
	drive := b.op(program.Select, "drive", "drive", upright, effort, zero)
	b.unitsFrom(drive, "duty", big.NewRat(1, 1))
	b.signal("drive", drive)
	b.output("drive", program.I16, drive)

	u := b.unit()
	u.Spec.About = "Two-wheeled seedling cart that keeps its tray level."
	u.Constants = []model.Constant{
		{Name: "tilt_blend", Asked: big.NewRat(2, 100), Stored: big.NewRat(1311, 65536), Count: 1311, LSB: power(16)},
		{Name: "effort_kp", Unit: "duty/deg", Asked: big.NewRat(24, 1), Stored: big.NewRat(24, 1), Count: 6291, LSB: power(8), Live: true},
	}
	u.Bounds = []model.Bound{
		{Section: 0, Signal: 0, Local: big.NewRat(12345, 1000000)},
		{Section: 1, Signal: 0, Local: big.NewRat(1, 128)},
		{Section: 2, Signal: 0, Local: big.NewRat(1, 2)},
		{Section: 3, Signal: 0, Local: new(big.Rat)},
	}
	return u
}

// edges holds each operation at the ends of the types, where C is easy to get wrong, under names that
// C and C++ keep for themselves.
func edges(t testing.TB) *model.Unit {
	b := newBuilder(t, "edges")
	i8 := b.input("signed", program.I8, "x", big.NewRat(1, 1))
	u8 := b.input("class", program.U8, "x", big.NewRat(1, 1))
	i16 := b.input("int32_t", program.I16, "x", big.NewRat(1, 1))
	u16 := b.input("while", program.U16, "x", big.NewRat(1, 1))
	i32 := b.input("out", program.I32, "x", big.NewRat(1, 1))
	on := b.input("new", program.Bool, "", nil)
	b.begin("narrow", "test", "Arithmetic that int promotes.", "")
	m8, m16, m32, m64 := b.constant("m8", -128), b.constant("m16", -32768), b.constant("m32", math.MinInt32), b.constant("m64", math.MinInt64)
	p16, p32 := b.constant("p16", 32767), b.constant("p32", math.MaxInt32)
	a8 := b.op(program.Abs, "abs", "|signed|", i8)
	s16 := b.op(program.Sub, "edges_round32", "8-bit difference", i8, u8)
	mul := b.op(program.Mul, "edges_step", "8-bit product", i8, u8)
	uu := b.op(program.Mul, "int", "unsigned product", u16, u8)
	wide := b.op(program.Mul, "register", "unsigned square", u16, u16)
	mixed := b.op(program.Less, "s", "unsigned against signed", u16, i16)
	mixed2 := b.op(program.LessEqual, "in", "", i16, u8)
	chosen := b.op(program.Select, "template", "unsigned or signed", mixed, u16, i16)
	chosen8 := b.op(program.Select, "template8", "", mixed2, u8, i8)
	b.begin("wide", "test", "Arithmetic at the ends of 32 and 64 bits.", "x = y")
	neg := b.scale("negated", "the negative of any int32", -1, i32)
	abs := b.op(program.Abs, "size", "|int32|", i32)
	far := b.op(program.Sub, "far", "distance to the least int32", i32, m32)
	cl := b.op(program.Clamp, "clamped", "", neg, m16, p16)
	cl32 := b.op(program.Clamp, "clamped32", "", neg, m32, p32)
	upside := b.op(program.Clamp, "upside_down", "limits that cross", i16, u8, i8)
	big64 := b.op(program.Mul, "square", "int32 squared", i32, i32)
	bottom := b.op(program.Max, "bottom", "", big64, m64)
	narrowed := b.round("narrowed", "square, rounded by 62", 62, bottom)
	r63 := b.round("r63", "", 63, far)
	r31 := b.round("r31", "", 31, i32)
	r32 := b.round("r32", "", 32, neg)
	r15 := b.round("r15", "", 15, s16)
	r16 := b.round("r16", "", 16, i16)
	r1 := b.round("r1", "", 1, i8)
	biased := b.op(program.Add, "biased", "", i16, b.constant("far_down", -40000))
	low := b.op(program.Min, "low", "", biased, b.constant("lower", -32768-8))
	r17 := b.round("r17", "half does not fit where the sum does", 17, low)
	n16 := b.round("n16", "half does not fit 16 bits, the sum does", 16, b.op(program.Min, "below16", "", i16, b.constant("minus_one", -1)))
	n32 := b.round("n32", "half does not fit 32 bits, the sum does", 32, b.op(program.Min, "below32", "", i32, b.constant("minus_two", -2)))
	turn := b.wrap("turn", "binary angle", 65536, chosen)
	odd := b.wrap("odd", "odd turn", 201, i8)
	kk := b.scale("kk", "", math.MinInt16, i16)
	k1 := b.scale("k1", "", 1, u16)
	k0 := b.scale("k0", "", 0, u16)
	cc := b.op(program.Add, "constants", "sum of constants", p16, p16)
	cm := b.op(program.Mul, "products", "product of constants", p16, b.constant("c1000", 1000))
	cs := b.scale("scaled_constant", "", 3, p16)
	b.begin("logic", "test", "Truths.", "")
	and := b.op(program.And, "and", "", mixed, on)
	or := b.op(program.Or, "or", "", and, mixed2)
	not := b.op(program.Not, "not", "", or)
	c255, c256 := b.constant("c255", 255), b.constant("c256", 256)
	var settled []program.ID // comparisons at and beyond the end of a range
	for i, c := range []program.ID{c255, c256, b.constant("zero", 0), b.constant("below", -1)} {
		for j, kind := range []program.Kind{program.Less, program.LessEqual} {
			settled = append(settled, b.op(kind, "left"+string(rune('a'+2*i+j)), "", u8, c), b.op(kind, "right"+string(rune('a'+2*i+j)), "", c, u8))
		}
	}
	yes, no := b.truth("yes", 1), b.truth("no", 0)
	pick := b.op(program.Select, "pick", "", not, yes, mixed)
	pick2 := b.op(program.Select, "pick2", "", on, pick, no)
	also := b.op(program.And, "also", "", pick2, yes)
	count := b.op(program.Add, "count", "truth as a number", pick2, i8)
	tally := b.scale("tally", "truth times a number", 40000, pick2)
	dead := b.scale("dead", "used by nobody", 77, count)
	b.signal("dead", dead)
	b.begin("memory", "test", "States that hold, start over and count.", "")
	ticks := b.state("ticks", "ticks so far, up to a hundred", -3, -3, 100, program.I16)
	one, hundred := b.constant("one", 1), b.constant("hundred", 100)
	up := b.op(program.Min, "ticks_next", "", b.op(program.Add, "ticks_more", "", ticks, one), hundred)
	b.contract(ticks, up, program.None, and, one)
	swap1, swap2 := b.state("swap1", "takes swap2", 5, -32768, 32767, program.I16), b.state("swap2", "takes swap1", math.MinInt16, -32768, 32767, program.I16)
	b.contract(swap1, swap2, program.None, on, i8)
	b.contract(swap2, swap1, on, mixed2, i16)
	last := b.state("fresh", "last truth", 1, 0, 1, program.Bool)
	b.contract(last, pick, program.None, program.None, program.None)
	huge := b.state("huge", "the last square, from the bottom", math.MinInt64, math.MinInt64, math.MaxInt64, program.I64)
	b.contract(huge, bottom, not, last, m64)
	never := b.state("never", "starts over at a constant truth", 1, 0, 1, program.Bool)
	b.contract(never, no, and, or, yes)
	deep := b.state("deep", "", math.MinInt32, math.MinInt32, math.MaxInt32, program.I32)
	b.contract(deep, i32, on, program.None, program.None)
	for i, id := range append(settled, n16, n32, a8, s16, mul, uu, wide, chosen, chosen8, neg, abs, far, cl, upside, big64, narrowed, r63, r31, r32, r15,
		r16, r1, r17, turn, odd, kk, k1, k0, cc, cm, cs, count, tally, huge, deep, also, m8, m16, m32, m64, ticks, swap1, last, never) {
		b.output("o"+string(rune('a'+i/26))+string(rune('a'+i%26)), program.I64, id)
	}
	b.output("return", program.I16, cl)
	b.output("return_", program.I32, cl32)
	b.output("flag", program.I8, pick)
	return b.unit()
}

// gainOnly has neither state nor switch: one live gain that turns into two coefficients, one of them negative.
func gainOnly(t testing.TB) *model.Unit {
	b := newBuilder(t, "gain_only")
	x := b.input("x", program.I16, "mm", big.NewRat(1, 10))
	b.begin("y", "gain", "A gain.", "y = k * x")
	k := b.gain("y_k", "y.k", program.Setter{Digits: 4, XLo: math.MinInt32, XHi: math.MaxInt32, XStart: -12345, M: 1 << 20, Shift: 36}, power(8))
	n := b.coef(0, "y_n", program.Setter{Digits: 4, XLo: math.MinInt32, XHi: math.MaxInt32, XStart: -12345, M: -3, Shift: 0}, power(8))
	y := b.op(program.Mul, "y", "product", k, x)
	z := b.op(program.Mul, "z", "product", n, x)
	b.signal("y", y)
	b.output("y", program.I64, y)
	b.output("z", program.I64, z)
	return b.unit()
}

// bare has nothing that a struct would hold but its output.
func bare(t testing.TB) *model.Unit {
	b := newBuilder(t, "bare")
	b.begin("y", "constant", "A constant.", "y = 7")
	b.output("y", program.I8, b.constant("seven", 7))
	return b.unit()
}

// compass turns two raw counts into an angle with wide tables of two kinds and a wrapped difference.
func compass(t testing.TB) *model.Unit {
	b := newBuilder(t, "compass")
	y, x := b.input("y", program.U16, "", nil), b.input("x", program.I16, "", nil)
	x8, y8 := b.input("x8", program.I8, "", nil), b.input("y8", program.I8, "", nil)
	for i := range b.p.Inputs {
		b.p.Inputs[i].LSB = big.NewRat(1, 1)
	}
	b.begin("heading", "angle", "Heading.", "heading = angle(y, x)")
	fine := arctanTable(16, 6, 1<<22)
	a := b.angle("a", "", fine, y, x)
	c := b.angle("c", "", fine, x, y)
	rough := b.angle("rough", "", arctanTable(5, 5, 16384), y8, x8)
	tiny := b.angle("tiny", "", arctanTable(12, 3, 91), y8, x8)
	vast := b.angle("vast", "", arctanTable(16, 1, 1<<30), x, y8)
	d := b.op(program.Sub, "d", "", a, c)
	e := b.wrap("e", "", 1<<24, d)
	b.signal("heading", e)
	for i, id := range []program.ID{a, c, rough, tiny, vast, e} {
		b.output("o"+string(rune('a'+i)), program.I64, id)
	}
	return b.unit()
}
