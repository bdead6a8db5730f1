package c

import (
	"math"
	"testing"

	"gainwright/model/program"
)

func TestLiteral(t *testing.T) {
	for _, c := range []struct {
		v    int64
		typ  program.Type
		want string
	}{
		{7, program.I16, "7"},
		{-7, program.I8, "(-7)"},
		{7, program.I32, "INT32_C(7)"},
		{32768, program.I16, "INT32_C(32768)"},
		{math.MinInt16, program.I16, "(-INT32_C(32768))"}, // 32768 is no int where int has 16 bits
		{math.MinInt32, program.I32, "(-INT32_C(2147483647) - 1)"},
		{math.MinInt32, program.I64, "(-INT64_C(2147483648))"},
		{math.MinInt32 - 1, program.I16, "(-INT64_C(2147483649))"},
		{math.MinInt64, program.I64, "(-INT64_C(9223372036854775807) - 1)"},
	} {
		if got := literal(c.v, c.typ); got != c.want {
			t.Errorf("literal(%d) = %s, want %s", c.v, got, c.want)
		}
	}
}
