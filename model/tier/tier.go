// Package tier says which tests run: it is for tests alone.
//
// go test ./... leaves out the tests that take long, and skips what needs a tool that is not there, named. With GAINWRIGHT_TESTS=all the rest runs
// too, and a missing tool is a failure. Campaigns of many minutes stand behind the flag -long.
package tier

import (
	"flag"
	"os"
	"os/exec"
	"runtime"
	"testing"
	"time"
)

var long = flag.Bool("long", false, "campaigns of many minutes too")

// All tells whether every test is to run, in its full length, and every tool must be there.
func All() bool { return os.Getenv("GAINWRIGHT_TESTS") == "all" }

// Long tells whether campaigns of many minutes are to run.
func Long() bool { return *long }

// Slow skips a test of many seconds unless all are to run. What should notice a seeded fault runs too (see gen/campaign/faults).
func Slow(t testing.TB) {
	t.Helper()
	if !All() && !Fault() {
		t.Skip("takes many seconds: GAINWRIGHT_TESTS=all runs it")
	}
}

// Count is how many of something a test tries: usually, where all tests are to run, and in a campaign of many minutes.
func Count(few, all, campaign int) int {
	switch {
	case *long:
		return campaign
	case All():
		return all
	}
	return few
}

// Fault tells whether this run is to notice a seeded fault.
func Fault() bool { return os.Getenv("GAINWRIGHT_FAULT") != "" }

// Took is the processor time that f takes on this machine: other work on it does not count, nor do goroutines that f starts.
func Took(f func()) time.Duration {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	start := Processor()
	f()
	return Processor() - start
}

// Lacks skips a test for want of something, named with the Debian package that brings it; where every tool must be there it fails instead.
func Lacks(t testing.TB, what string) {
	t.Helper()
	if All() {
		t.Fatal(what + " is needed: GAINWRIGHT_TESTS=all asks for it")
	}
	t.Skip(what + " is not installed")
}

// Tool returns the path of a program, of the Debian package given; without it the test lacks it.
func Tool(t testing.TB, name, debian string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		Lacks(t, name+" (Debian's package "+debian+")")
	}
	return path
}

// Scipy returns a Python that has scipy.
func Scipy(t testing.TB) string {
	t.Helper()
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import scipy").Run(); err != nil {
		Lacks(t, "scipy (Debian's package python3-scipy)")
	}
	return python
}
