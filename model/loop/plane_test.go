package loop

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"gainwright/model/tier"
)

// The loop of testdata/plane.py, whose numbers are as fine as any.
const position = `controller: position
rate: 50 Hz
inputs:
  seen: {raw: int32, unit: V, counts_per_unit: 100000}
steps:
  push: {kind: pid, target: 0, measured: seen, kp: 2, ki: 1.5, kd: 0.2, derivative_filter: 30 ms, unit: V, limits: [-1000, 1000]}
outputs:
  drive: {from: push, raw: int32, unit: V, counts_per_unit: 100000, limits: [-1000, 1000]}
tuning: {push.kp: [1, 6.2], push.kd: [0.1, 0.62]}
plant:
  kind: transfer_function
  inputs: {u: V}
  outputs: {y: V}
  numerator: [9]
  denominator: [0.2, 1, 0]
  actuators: {u: {from: drive, full: 1000 V, gives: 1000 V, delay: 20 ms}}
  sensors: {seen: {of: y}}
`

// The contours are those of a brute-force grid that testdata/plane.py computes with scipy in another formulation.
func TestPlaneAgainstBruteForce(t *testing.T) {
	var want struct {
		KP   []float64   `json:"kp"`
		KD   []float64   `json:"kd"`
		Room [][]float64 `json:"room"`
	}
	b, err := os.ReadFile("testdata/plane.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &want); err != nil {
		t.Fatal(err)
	}
	tuning, err := system(t, position).Tuning()
	if err != nil {
		t.Fatal(err)
	}
	p, err := tuning.Plane("push.kp", "push.kd")
	if err != nil {
		t.Fatal(err)
	}
	stable, unstable := 0, 0
	for i, kd := range want.KD {
		for j, kp := range want.KP {
			close(t, "kp", p.X[4*j], kp, 1e-12)
			close(t, "kd", p.Y[4*i], kd, 1e-12)
			got := p.Room[4*i][4*j]
			if math.Abs(got-want.Room[i][j]) > 1e-6 {
				t.Errorf("kp %g, kd %g: room %.9f, brute force says %.9f", kp, kd, got, want.Room[i][j])
			}
			if got > 0 {
				stable++
			} else {
				unstable++
			}
		}
	}
	if stable < 10 || unstable < 10 {
		t.Errorf("%d stable and %d unstable points: the loop shows too little", stable, unstable)
	}
}

func TestPlaneScript(t *testing.T) {
	tier.Slow(t)
	python := tier.Scipy(t)
	if out, err := exec.Command(python, "testdata/plane.py", "--check").CombinedOutput(); err != nil {
		t.Errorf("testdata/plane.py --check: %v\n%s", err, out)
	}
}

// What the box says of its points is what the loop says of them, and the nearest unstable one is the nearest.
func TestBox(t *testing.T) {
	tuning, err := system(t, position).Tuning()
	if err != nil {
		t.Fatal(err)
	}
	b, err := tuning.Box()
	if err != nil {
		t.Fatal(err)
	}
	if b.Points != b.Each*b.Each || b.Unstable == 0 || b.Unstable == b.Points {
		t.Fatalf("%d points, %d each way, %d unstable", b.Points, b.Each, b.Unstable)
	}
	if tuning.At(b.Nearest).Stable {
		t.Errorf("the loop is stable at %v", b.Nearest)
	}
	if r := tuning.At(b.RadiusAt).Radius; r != b.Radius || r < 1 {
		t.Errorf("largest pole %g, at its place %g", b.Radius, r)
	}
	now := tuning.Now()
	far := func(g []float64) float64 { return math.Hypot((g[0]-now[0])/5.2, (g[1]-now[1])/0.52) }
	unstable := 0
	for i := range b.Each {
		for j := range b.Each {
			g := []float64{1 + 5.2*float64(i)/float64(b.Each-1), 0.1 + 0.52*float64(j)/float64(b.Each-1)}
			if tuning.At(g).Stable {
				continue
			}
			unstable++
			if far(g) < far(b.Nearest)-1e-9 {
				t.Fatalf("%v is nearer than %v and not stable either", g, b.Nearest)
			}
		}
	}
	if unstable != b.Unstable {
		t.Errorf("%d unstable points, the box says %d", unstable, b.Unstable)
	}
	quiet, err := system(t, strings.Replace(position, "[1, 6.2], push.kd: [0.1, 0.62]", "[1, 3], push.kd: [0.1, 0.3]", 1)).Tuning()
	if err != nil {
		t.Fatal(err)
	}
	if b, err = quiet.Box(); err != nil || b.Unstable != 0 || b.Nearest != nil || b.Radius >= 1 {
		t.Errorf("a quiet box: %+v, %v", b, err)
	}
	if none, err := system(t, motor).Tuning(); err != nil {
		t.Fatal(err)
	} else if _, err := none.Box(); err == nil {
		t.Error("a box without gains")
	}
}

func TestPlaneOfNothing(t *testing.T) {
	tuning, err := system(t, position).Tuning()
	if err != nil {
		t.Fatal(err)
	}
	for _, keys := range [][2]string{{"push.kp", "push.kp"}, {"push.kp", "push.ki"}, {"", ""}} {
		if p, err := tuning.Plane(keys[0], keys[1]); err == nil {
			t.Errorf("%v: %+v", keys, p)
		} else if !slices.Contains([]string{keys[0], keys[1]}, "push.kp") && !strings.Contains(err.Error(), "push.kp, push.kd") {
			t.Errorf("%v: the live gains are not named: %v", keys, err)
		}
	}
}

func BenchmarkPlane(b *testing.B) {
	for b.Loop() {
		tuning, err := compiled(b, position).Tuning()
		if err != nil {
			b.Fatal(err)
		}
		if _, err := tuning.Plane("push.kp", "push.kd"); err != nil {
			b.Fatal(err)
		}
	}
}
