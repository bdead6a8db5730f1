package program

import (
	"fmt"
	"math/big"
	"testing"
)

// TestWidth tries every argument in ranges around the ends of the types and holds every number that the
// operation makes on its way against the type that Width says.
func TestWidth(t *testing.T) {
	ends := []int64{-32769, -32768, -16385, -16384, -129, -128, -127, -65, -64, -1, 0, 1, 63, 64, 127, 128, 16383, 16384, 32767, 32768}
	var ranges [][2]int64
	for i, lo := range ends {
		for _, hi := range ends[i:] {
			ranges = append(ranges, [2]int64{lo, hi})
		}
	}
	tight := map[Type]int{}
	for _, a := range ranges {
		for _, b := range [][2]int64{{0, 0}, {-1, 1}, {-128, 127}, {-128, 128}, {127, 32767}, {-32768, 32768}} {
			for _, k := range []int64{-1, 1, 2, -129, 128, 300} {
				for kind := Add; kind <= LessEqual; kind++ {
					tryWidth(t, kind, a, b, k, tight)
				}
			}
		}
	}
	for _, w := range []Type{I8, I16, I32} {
		if tight[w] == 0 {
			t.Errorf("no case needed %d bits exactly: the test proves little", w.Bits())
		}
	}
}

// tryWidth builds one operation, types it as the compiler does and tries the corners of its arguments: each number
// made on the way is monotone or bilinear in them.
func tryWidth(t *testing.T, kind Kind, a, b [2]int64, k int64, tight map[Type]int) {
	t.Helper()
	p := &Fixed{Frame: Frame{Sections: make([]Section, 1), Inputs: make([]InputInfo, 2)}, Ops: []FixedOp{{Op: Op{Kind: Input}, Lo: a[0], Hi: a[1], Type: Holding(a[0], a[1])}, {Op: Op{Kind: Input, Index: 1}, Lo: b[0], Hi: b[1], Type: Holding(b[0], b[1])}}}
	op := FixedOp{Op: Op{Kind: kind, Args: []ID{0, 1}, K: big.NewRat(k, 1)}, Shift: uint(k&7 + 1)}
	switch kind {
	case Round, Scale, Abs, Wrap:
		op.Args = op.Args[:1]
		if kind == Wrap {
			if k < 0 || k%2 != 0 || max(-a[0], a[1]) >= k*3/2 {
				return
			}
		}
	case Angle:
		return
	case Clamp:
		op.Args = []ID{0, 1, 1}
	case Less, LessEqual:
		op.Bool = true
	}
	p.Ops = append(p.Ops, op)
	var made []int64 // every number on the way
	lo, hi := int64(1)<<62, int64(-1)<<62
	m := NewFixedMachine(p)
	for _, x := range []int64{a[0], a[1], min(max(a[0], 0), a[1]), min(max(a[0], k/2), a[1]), min(max(a[0], k/2-1), a[1]), min(max(a[0], -k/2), a[1]), min(max(a[0], -k/2-1), a[1])} {
		for _, y := range []int64{b[0], b[1]} {
			m.Tick([]int64{x, y}, nil)
			lo, hi = min(lo, m.Values[2]), max(hi, m.Values[2])
			made = append(made, x)
			switch kind {
			case Round:
				made = append(made, x+int64(1)<<(op.Shift-1))
			case Abs:
				made = append(made, -x)
			case Wrap:
				made = append(made, k, k/2, -k/2)
			case Scale:
				made = append(made, k)
			default:
				made = append(made, y)
			}
		}
	}
	p.Ops[2].Lo, p.Ops[2].Hi, p.Ops[2].Type = lo, hi, Holding(lo, hi)
	if op.Bool {
		p.Ops[2].Type = Bool
	}
	w := p.Width(2)
	least, most := w.Range()
	need := I8
	for _, x := range append(made, lo, hi) {
		if x < least || x > most {
			t.Errorf("%s needs more than %d bits: %d occurs", fmt.Sprintf("%v of %v %v, K %d", kind, a, b, k), w.Bits(), x)
			return
		}
		need = Widest(need, Holding(x, x))
	}
	if need == w {
		tight[w]++
	}
}

func TestHolding(t *testing.T) {
	for _, ty := range []Type{I8, I16, I32, I64} {
		lo, hi := ty.Range()
		if got := Holding(lo, hi); got != ty || ty.Bits() == 0 || hi-lo != int64(uint64(1)<<ty.Bits()-1) {
			t.Errorf("[%d, %d] is held by %d bits", lo, hi, got.Bits())
		}
		if ty != I64 && (Holding(lo-1, 0) == ty || Holding(0, hi+1) == ty) {
			t.Errorf("%d bits hold too much", ty.Bits())
		}
	}
	for _, c := range [][3]Type{{Bool, Bool, I8}, {U8, I8, I16}, {U16, I8, I32}, {I8, I32, I32}, {I64, I16, I64}} {
		if Widest(c[0], c[1]) != c[2] || Widest(c[1], c[0]) != c[2] {
			t.Errorf("Widest(%d, %d) is %d bits", c[0], c[1], Widest(c[0], c[1]).Bits())
		}
	}
}
