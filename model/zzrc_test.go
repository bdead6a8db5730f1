package model

import (
	"fmt"
	"os"
	"testing"
	"time"
)

func TestZZRC(t *testing.T) {
	src, _ := os.ReadFile(os.Getenv("SPEC"))
	t0 := time.Now()
	u := Compile("x.yaml", src)
	fmt.Println(time.Since(t0))
	for _, f := range u.Findings {
		fmt.Println(f)
	}
	if u.Integer != nil {
		for i, op := range u.Integer.Ops {
			k := ""
			if op.K != nil {
				k = op.K.RatString()
			}
			fmt.Printf("%3d %-28s %-12v %v K=%s sh=%d T%d lsb=%s [%d,%d]\n", i, op.Name, op.Kind, op.Args, k, op.Shift, op.Type.Bits(), op.LSB.RatString(), op.Lo, op.Hi)
		}
		for _, b := range u.Bounds {
			l, ch := -1.0, -1.0
			if b.Local != nil {
				l, _ = b.Local.Float64()
			}
			if b.Chain != nil {
				ch, _ = b.Chain.Float64()
			}
			fmt.Println("  bound", u.Integer.Sections[b.Section].Signals[b.Signal].Name, l, ch)
		}
	}
}
