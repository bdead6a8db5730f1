package c

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// TestSmallSetters: the one setter of small code makes of each setting what the integer program does, and leaves the
// other gains alone.
func TestSmallSetters(t *testing.T) {
	small := 0
	for _, u := range append(starters(t), twoGains(t, 0), twoGains(t, -60000)) {
		p := u.Integer
		header := string(HeaderFor(u, selection.Size))
		if !strings.Contains(header, "int16_t coef_1 = ") {
			continue
		}
		small++
		var code, want strings.Builder
		name := u.Spec.Name
		coefs := make([]int64, len(p.Coefs))
		fmt.Fprintf(&code, "#include <stdio.h>\n#include \"%[1]s.h\"\nint main(void)\n{\n    static %[1]s_state s;\n    static const int32_t x[] = {", name)
		xs := trySettings(u)
		for _, x := range xs {
			code.WriteString(literal(x, program.I32) + ",\n")
		}
		fmt.Fprintf(&code, "0};\n    unsigned i;\n    %s_init(&s);\n    for (i = 0; i < %du; i++) {\n", name, len(xs))
		_, _, _, members := Members(p)
		for g, gain := range p.Gains {
			fmt.Fprintf(&code, "        %s_set_%s(&s, x[i]);\n", name, gain.Name)
			for _, m := range members {
				fmt.Fprintf(&code, "        printf(\"%%d \", (int)s.gains[s.ready].%s);\n", m.Name)
			}
			fmt.Fprintf(&code, "        s.in_use = (uint8_t)((i + %du) %% 3u);\n", g)
		}
		code.WriteString("    }\n    return 0;\n}\n")
		for i, k := range p.Coefs {
			coefs[i] = k.Setter.Apply(k.Setter.XStart)
		}
		for _, x := range xs {
			for g := range p.Gains {
				for i, k := range p.Coefs {
					if k.Gain == g {
						coefs[i] = k.Setter.Apply(x)
					}
				}
				for _, v := range coefs {
					fmt.Fprintf(&want, "%d ", v)
				}
			}
		}
		dir := t.TempDir()
		write(t, dir, map[string][]byte{name + ".h": []byte(header), "settings.c": []byte(code.String())})
		for _, compiler := range []string{"cc -std=c99", "c++ -std=c++11 -x c++"} {
			words := strings.Fields(compiler)
			args := append(append(append([]string{}, words[1:]...), warnings...), "-O1", "-fsanitize=undefined", "-fno-sanitize-recover=all", "settings.c", "-o", "settings")
			if out, err := run(dir, nil, words[0], args...); err != nil {
				t.Fatalf("%s: %v\n%s", name, err, out)
			}
			got, err := run(dir, nil, "./settings")
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if !bytes.Equal(got, []byte(want.String())) {
				t.Errorf("%s, %s: other coefficients than the integer program's", name, compiler)
			}
		}
	}
	if small < 2 {
		t.Errorf("%d units have a small setter", small)
	}
}

// trySettings are the ends of each range and of int32, with their neighbours, and steps between.
func trySettings(u *model.Unit) (list []int64) {
	list = []int64{math.MinInt32, math.MinInt32 + 1, -65536, -65535, -1, 0, 1, 65535, 65536, 65537, math.MaxInt32 - 1, math.MaxInt32}
	for _, k := range u.Integer.Coefs {
		for d := int64(-2); d <= 2; d++ {
			list = append(list, k.Setter.XHi+d, k.Setter.XHi+d+65536)
		}
	}
	for x := int64(0); x < 66000; x += 37 {
		list = append(list, x)
	}
	return list
}

// TestCommonShift: factors and products that would not fit have no common number of bits.
func TestCommonShift(t *testing.T) {
	for _, k := range []struct {
		what string
		b    program.Setter
		want uint
	}{
		{"one factor doubled", program.Setter{XHi: 40000, M: 13422, Shift: 18}, 19},
		{"a factor beyond 16 bits", program.Setter{XHi: 40000, M: 16384, Shift: 18}, 0},
		{"a factor at the end of 16 bits", program.Setter{XHi: 40000, M: -16384, Shift: 18}, 19},
		{"a product beyond 32 bits", program.Setter{XHi: 65535, M: 16383, Shift: 18}, 0},
		{"no bits to round off", program.Setter{XHi: 100, M: 1, Shift: 0}, 0},
		{"settings below 0", program.Setter{XLo: -1, XHi: 40000, M: 13422, Shift: 18}, 0},
		{"settings beyond 16 bits", program.Setter{XHi: 65536, M: 1, Shift: 19}, 0},
	} {
		u := twoGains(t, 0)
		u.Integer.Coefs[0].Setter = program.Setter{XHi: 60000, M: 8389, Shift: 19}
		u.Integer.Coefs[1].Setter = k.b
		got, ok := newEmitter(u, selection.Size).commonShift([]int{0, 1})
		if ok != (k.want > 0) || got != k.want {
			t.Errorf("%s: %d %v, want %d", k.what, got, ok, k.want)
		}
	}
}
