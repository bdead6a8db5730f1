//go:build ignore

// Command convert turns the inertial logs of the npm package gopro-telemetry 1.2.11 into the CSV
// files of this folder, and measures which axes a cart's lean and pitch rate should be read from.
// README.md beside it names source, licence and result. Run it from the top of the repository:
//
//	npm pack gopro-telemetry@1.2.11
//	go run testdata/logs/convert.go -package gopro-telemetry-1.2.11.tgz [-check]
//
// With -check nothing is written: the files must already be what would be written. The package is
// not fetched here, and its sums are checked before anything else is done.
package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"flag"
	"fmt"
	"io"
	"log"
	"math"
	"os"
)

const packageSum = "c92a3cd9e80957c38bb1712666e16275320d62be3cfc83861e5f98faf13afe77"

// Scale words of both logs: counts per m/s^2 and counts per rad/s.
const (
	accelWord = 418
	gyroWord  = 1878
	gravity   = 9.80665                    // m/s^2
	perG      = accelWord * gravity        // counts per g
	perDegree = gyroWord * (math.Pi / 180) // counts per deg/s
)

type sample [3]int16

// sensor is a stream of the recording and what is known about it beforehand.
type sensor struct {
	key   string
	word  uint16 // scale word
	first sample
	sum   [3]int64 // of the three axes over the whole stream
	data  []sample
}

// axis picks a channel of a sensor; sign -1 turns it round.
type axis struct {
	channel int
	sign    int16
}

func (a axis) of(s sample) int16 { return s[a.channel] * a.sign }

func (a axis) String() string {
	if a.sign < 0 {
		return fmt.Sprintf("-c%d", a.channel)
	}
	return fmt.Sprintf("+c%d", a.channel)
}

// recording is one sample file and how the cart reads it.
type recording struct {
	name        string
	member      string // of the package
	rate        int    // nominal, samples per second
	count       int
	accel, gyro sensor
	forward, up axis // of accel
	pitch       axis // of gyro
}

var recordings = []*recording{
	{
		name: "hero7", member: "package/samples/hero7.raw", rate: 198, count: 3369,
		accel:   sensor{key: "ACCL", word: accelWord, first: sample{-3427, 343, 1631}, sum: [3]int64{-537856, 988814, -10602412}},
		gyro:    sensor{key: "GYRO", word: gyroWord, first: sample{3478, 2897, 631}, sum: [3]int64{-341130, 479792, 1589835}},
		forward: axis{0, 1}, up: axis{2, -1}, pitch: axis{1, 1},
	},
	{
		name: "hero6", member: "package/samples/hero6.raw", rate: 200, count: 204,
		accel:   sensor{key: "ACCL", word: accelWord, first: sample{4171, 23, 1315}, sum: [3]int64{833304, 17151, 238516}},
		gyro:    sensor{key: "GYRO", word: gyroWord, first: sample{-1211, -345, -508}, sum: [3]int64{-63029, -19057, -51141}},
		forward: axis{2, 1}, up: axis{0, 1}, pitch: axis{1, 1},
	},
}

// piece is a run of rows.
type piece struct{ from, rows int }

// demo is the piece of hero7 that the starter cart carries: three seconds in which the camera is
// moved about but the lean stays inside a quarter turn, as a cart's does.
var demo = piece{560, 600}

func main() {
	log.SetFlags(0)
	log.SetPrefix("convert: ")
	archive := flag.String("package", "", "the file that npm pack wrote")
	check := flag.Bool("check", false, "write nothing; fail where a file is not what would be written")
	flag.Parse()
	if *archive == "" || flag.NArg() != 0 {
		flag.Usage()
		os.Exit(2)
	}
	members, err := unpack(*archive)
	if err != nil {
		log.Fatal(err)
	}
	files := map[string][]byte{}
	var axes bytes.Buffer
	axes.WriteString("log,from,rows,window_s,forward,up,rate,windows,slope,correlation\n")
	for _, r := range recordings {
		if err := r.read(members[r.member]); err != nil {
			log.Fatalf("%s: %v", r.member, err)
		}
		files["testdata/logs/"+r.name+".csv"] = r.csv(piece{0, r.count})
		r.measure(&axes, piece{0, r.count})
		if r.name == "hero7" {
			files["templates/starters/cart_log.csv"] = r.csv(demo)
			r.measure(&axes, demo)
		}
	}
	files["testdata/logs/axes.csv"] = axes.Bytes()

	stale := false
	for name, want := range files {
		if !*check {
			if err := os.WriteFile(name, want, 0o644); err != nil {
				log.Fatal(err)
			}
			continue
		}
		if got, err := os.ReadFile(name); err != nil || !bytes.Equal(got, want) {
			stale = true
			log.Printf("%s is not what the package gives; to accept: the same command without -check", name)
		}
	}
	if stale {
		os.Exit(1)
	}
	os.Stdout.Write(axes.Bytes())
}

// unpack returns the files of the package by name, its sum checked.
func unpack(path string) (map[string][]byte, error) {
	packed, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	if sum := fmt.Sprintf("%x", sha256.Sum256(packed)); sum != packageSum {
		return nil, fmt.Errorf("%s: sha256 is %s, expected %s", path, sum, packageSum)
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, err
	}
	members := map[string][]byte{}
	for t := tar.NewReader(z); ; {
		h, err := t.Next()
		if errors.Is(err, io.EOF) {
			return members, nil
		}
		if err != nil {
			return nil, err
		}
		if members[h.Name], err = io.ReadAll(t); err != nil {
			return nil, err
		}
	}
}

// walk calls visit on each item of a key-length-value block: a key of four letters, a type, the
// bytes of one element, a big-endian count of elements, the elements padded to four bytes.
func walk(b []byte, visit func(key string, kind, size byte, count int, data []byte) error) error {
	for len(b) > 0 {
		if len(b) < 8 {
			return fmt.Errorf("%d bytes are left over", len(b))
		}
		count := int(binary.BigEndian.Uint16(b[6:]))
		size := int(b[5]) * count
		padded := 8 + (size+3)/4*4
		if padded > len(b) {
			return fmt.Errorf("item %q reaches beyond its block", b[:4])
		}
		if err := visit(string(b[:4]), b[4], b[5], count, b[8:8+size]); err != nil {
			return err
		}
		b = b[padded:]
	}
	return nil
}

// read decodes a file and checks all that is known about it.
func (r *recording) read(raw []byte) error {
	err := walk(raw, func(_ string, _, _ byte, _ int, device []byte) error {
		return walk(device, func(key string, kind, _ byte, _ int, stream []byte) error {
			if key != "STRM" || kind != 0 {
				return nil
			}
			return errors.Join(r.accel.read(stream), r.gyro.read(stream))
		})
	})
	if err != nil {
		return err
	}
	for _, s := range []*sensor{&r.accel, &r.gyro} {
		if len(s.data) != r.count {
			return fmt.Errorf("%s: %d samples, expected %d", s.key, len(s.data), r.count)
		}
		var sum [3]int64
		for _, d := range s.data {
			for i, v := range d {
				if v == math.MinInt16 {
					return fmt.Errorf("%s: -32768 cannot be turned round", s.key)
				}
				sum[i] += int64(v)
			}
		}
		if s.data[0] != s.first || sum != s.sum {
			return fmt.Errorf("%s: first sample %v and sums %v, expected %v and %v", s.key, s.data[0], sum, s.first, s.sum)
		}
	}
	return nil
}

// read appends the samples of one stream, where the stream is this sensor's.
func (s *sensor) read(stream []byte) error {
	var total, word uint32
	return walk(stream, func(key string, kind, size byte, count int, data []byte) error {
		switch key {
		case "TSMP":
			total = binary.BigEndian.Uint32(data)
		case "SCAL":
			if kind == 's' {
				word = uint32(binary.BigEndian.Uint16(data))
			}
		case s.key:
			if kind != 's' || size != 6 || word != uint32(s.word) {
				return fmt.Errorf("%s: type %q of %d bytes with scale word %d, expected 's', 6 and %d", key, kind, size, word, s.word)
			}
			for ; len(data) > 0; data = data[6:] {
				var d sample
				for i := range d {
					d[i] = int16(binary.BigEndian.Uint16(data[2*i:]))
				}
				s.data = append(s.data, d)
			}
			// The running count of a file that was cut out of a longer one does not start at 0.
			if n := uint32(len(s.data)); n > total || (n != uint32(count) && n != total) {
				return fmt.Errorf("%s: %d samples read, the file counts %d", key, n, total)
			}
		}
		return nil
	})
}

// csv writes a piece of the recording, in raw counts and with the time from its first row.
func (r *recording) csv(p piece) []byte {
	var b bytes.Buffer
	b.WriteString("t,accel_forward,accel_up,pitch_rate\n")
	for i := range p.rows {
		a, g := r.accel.data[p.from+i], r.gyro.data[p.from+i]
		fmt.Fprintf(&b, "%.6f,%d,%d,%d\n", float64(i)/float64(r.rate), r.forward.of(a), r.up.of(a), r.pitch.of(g))
	}
	return b.Bytes()
}

// measure writes slope and correlation of lean against rate, for each plane of the accelerometer
// and each axis of the gyro, over a piece of the recording.
func (r *recording) measure(w io.Writer, over piece) {
	third := axis{3 - r.forward.channel - r.up.channel, 1}
	planes := [][2]axis{{r.forward, r.up}, {third, r.up}, {r.forward, third}}
	for _, window := range []int{r.rate / 10, r.rate / 5} {
		for _, p := range planes {
			for c := range 3 {
				rate := axis{c, 1}
				n, slope, correlation := r.slope(p[0], p[1], rate, over, window)
				fmt.Fprintf(w, "%s,%d,%d,%.3f,%v,%v,%v,%d,%.2f,%.2f\n", r.name, over.from, over.rows,
					float64(window)/float64(r.rate), p[0], p[1], rate, n, slope, correlation)
			}
		}
	}
}

// slope fits the change of lean over a window of samples to the integral of the rate over the same
// window. Windows start at every sample; those are used in which the specific force in the plane
// stays between 0.5 and 1.5 g, since elsewhere it says little about where up is.
func (r *recording) slope(forward, up, rate axis, over piece, window int) (n int, slope, correlation float64) {
	accel, gyro := r.accel.data[over.from:][:over.rows], r.gyro.data[over.from:][:over.rows]
	lean, length := make([]float64, over.rows), make([]float64, over.rows)
	for i, a := range accel {
		f, u := float64(forward.of(a))/perG, float64(up.of(a))/perG
		lean[i], length[i] = math.Atan2(f, u)*(180/math.Pi), math.Hypot(f, u)
	}
	var x, y []float64
next:
	for start := 0; start+window < over.rows; start++ {
		for _, l := range length[start : start+window+1] {
			if l < 0.5 || l > 1.5 {
				continue next
			}
		}
		var turned, leaned float64
		for i := start; i < start+window; i++ {
			before, after := float64(rate.of(gyro[i])), float64(rate.of(gyro[i+1]))
			turned += (before + after) / (2 * perDegree * float64(r.rate))
			leaned += math.Remainder(lean[i+1]-lean[i], 360)
		}
		x, y = append(x, turned), append(y, leaned)
	}
	mx, my := mean(x), mean(y)
	var xx, xy, yy float64
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		xy += (x[i] - mx) * (y[i] - my)
		yy += (y[i] - my) * (y[i] - my)
	}
	if xx == 0 || yy == 0 {
		return len(x), 0, 0
	}
	return len(x), xy / xx, xy / math.Sqrt(xx*yy)
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, e := range v {
		sum += e
	}
	return sum / float64(max(1, len(v)))
}
