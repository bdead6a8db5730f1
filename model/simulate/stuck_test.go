package simulate

import (
	"fmt"
	"testing"
)

// A stuck bit is set or cleared in the register's own word, sign bit included; raw values are what that word then says.
func TestBitOfAReading(t *testing.T) {
	for _, c := range []struct {
		bits   uint
		signed bool
		bit    uint
		high   bool
		from   int64
		want   int64
	}{
		{16, true, 0, true, 4736, 4737}, {16, true, 0, false, 4737, 4736}, {16, true, 0, false, 4736, 4736},
		{16, true, 15, true, 4736, 4736 - 32768}, {16, true, 15, false, -1, 32767}, {16, true, 14, false, -1, -1 - 16384}, {16, true, 3, true, -32768, -32760},
		{8, true, 7, true, 5, -123}, {8, false, 7, true, 5, 133}, {16, false, 15, true, 0, 32768}, {16, false, 15, false, 65535, 32767},
		{32, true, 31, true, 0, -2147483648}, {32, true, 31, false, -1, 2147483647},
	} {
		f := Fault{How: "bit", Bit: c.bit, High: c.high, bits: c.bits, signed: c.signed}
		if got := f.read(c.from); got != c.want {
			t.Errorf("%d bits, signed %v: bit %d high %v of %d gives %d, want %d", c.bits, c.signed, c.bit, c.high, c.from, got, c.want)
		}
	}
}

// The fault reaches the controller: bit 9 is 4 degC of the incubator's reading, which is at 37 degC when it sticks.
func TestBitSticksInTheLoop(t *testing.T) {
	for level, want := range map[string]float64{"low": 33, "high": 37} {
		s := system(t, edited(t, "incubator", "duration: 3 h", "duration: 90 min", "at: 2 h", "at: 1 h", "  disturbances:", fmt.Sprintf("  faults: [{at: 50 min, for: 10 s, sensor: temperature, bit: 9, stuck: %s}]\n  disturbances:", level)))
		l := s.newLoop("", newReal(s.Asked, s.Spec), 0)
		noise := s.Plant.NewNoise(1)
		for k := range 3005 {
			l.tick(s, float64(k), noise.Next(), nil)
		}
		if got := float64(l.raw[0]) / 128; got < want-0.3 || got > want+0.3 {
			t.Errorf("stuck %s it reads %.2f degC, expected %g", level, got, want)
		}
	}
}
