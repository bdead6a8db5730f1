package cert_test

import (
	"fmt"
	"math/big"
	"reflect"
	"strings"

	"gainwright/model"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// proof is all that the checker is given.
type proof struct {
	Asked, Stored *program.Real
	Integer       *program.Fixed
	Certificate   *cert.Certificate
}

func (p *proof) check() (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = panicked{r}
		}
	}()
	return cert.CheckAsked(p.Asked, p.Stored, p.Integer, p.Certificate)
}

type panicked struct{ what any }

func (p panicked) Error() string { return fmt.Sprint("panic: ", p.what) }

// proofOf is a deep copy: no slice of it is part of another.
func proofOf(u *model.Unit) *proof {
	p := proof{u.Asked, u.Stored, u.Integer, u.Certificate}
	return deep(reflect.ValueOf(&p)).Interface().(*proof)
}

var rational = reflect.TypeFor[*big.Rat]()

func deep(v reflect.Value) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	switch {
	case v.Type() == rational: // never changed in place
		return v
	case v.Kind() == reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(deep(v.Elem()))
		}
	case v.Kind() == reflect.Slice:
		if !v.IsNil() {
			out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
			for i := range v.Len() {
				out.Index(i).Set(deep(v.Index(i)))
			}
		}
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			out.Field(i).Set(deep(v.Field(i)))
		}
	default:
		return v
	}
	return out
}

// change is one value in place of another, at one place of a proof.
type change struct {
	kind string        // of place, without numbers: Integer.Ops[].Shift
	at   []int         // the numbers
	how  string        // +1, twice, nil ...
	v    reflect.Value // of the place
	to   reflect.Value
}

// place is where the change is.
func (c change) place() string {
	s := c.kind
	for _, n := range c.at {
		s = strings.Replace(s, "[]", fmt.Sprintf("[%d]", n), 1)
	}
	return s
}

// changes calls try with each single change of what v holds.
func changes(v reflect.Value, kind string, at []int, try func(change)) {
	put := func(how string, to any) {
		w, ok := to.(reflect.Value)
		if !ok {
			w = reflect.ValueOf(to)
		}
		try(change{kind, append([]int(nil), at...), how, v, w.Convert(v.Type())})
	}
	switch {
	case v.Type() == rational:
		k := v.Interface().(*big.Rat)
		if k == nil {
			put("given", one)
			return
		}
		put("nil", (*big.Rat)(nil))
		put("+1", plus(k, 1))
		put("-1", plus(k, -1))
		put("a little more", new(big.Rat).Add(k, big.NewRat(1, 1<<30)))
		if k.Sign() != 0 {
			put("twice", twice(k))
			put("half", new(big.Rat).Mul(k, big.NewRat(1, 2)))
			put("negative", new(big.Rat).Neg(k))
			put("0", new(big.Rat))
		}
		return
	case v.Type() == reflect.TypeFor[program.Facts](): // the checker is to read none
		if !v.IsZero() {
			put("none", program.Facts{})
		}
	case v.Kind() == reflect.Pointer:
		if v.IsNil() {
			fresh := reflect.New(v.Type().Elem())
			if r, ok := fresh.Interface().(*interval.Range); ok {
				*r = interval.Ints(0, 0)
			}
			put("given", fresh)
			return
		}
		put("nil", reflect.Zero(v.Type()))
		changes(v.Elem(), kind, at, try)
	case v.Kind() == reflect.Slice:
		if n := v.Len(); n > 0 {
			put("one less", v.Slice(0, n-1))
			put("last twice", reflect.Append(v.Slice3(0, n, n), v.Index(n-1)))
			if n > 1 && !reflect.DeepEqual(v.Index(0).Interface(), v.Index(n-1).Interface()) {
				other := reflect.MakeSlice(v.Type(), n, n)
				reflect.Copy(other, v)
				other.Index(0).Set(v.Index(n - 1))
				other.Index(n - 1).Set(v.Index(0))
				put("ends swapped", other)
			}
		}
		for i := range v.Len() {
			changes(v.Index(i), kind+"[]", append(at, i), try)
		}
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			name := kind
			if f := v.Type().Field(i); !f.Anonymous { // what is embedded stands as if it were the struct's own
				name = strings.TrimPrefix(kind+"."+f.Name, ".")
			}
			changes(v.Field(i), name, at, try)
		}
	case v.Kind() == reflect.String:
		put("longer", v.String()+"x")
		if v.String() != "" {
			put("empty", "")
		}
	case v.Kind() == reflect.Bool:
		put("not", !v.Bool())
	case v.CanInt():
		k := v.Int()
		put("+1", k+1)
		put("-1", k-1)
		if k != 0 && v.Type() == reflect.TypeFor[int64]() {
			put("0", 0)
			put("twice", 2*k)
			put("half", k/2)
			put("negative", -k)
		}
	case v.CanUint():
		put("+1", v.Uint()+1)
		if v.Uint() > 0 {
			put("-1", v.Uint()-1)
		}
	default:
		panic("no change for " + v.Type().String())
	}
}

// try makes the change, has the proof checked and takes the change back.
func (p *proof) try(c change) error {
	was := reflect.New(c.v.Type()).Elem()
	was.Set(c.v)
	c.v.Set(c.to)
	defer c.v.Set(was)
	return p.check()
}
