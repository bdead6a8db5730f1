// Package tier says which tests run: it is for tests alone.
//
// go test ./... skips what needs a tool that is not there, and names the tool. With GAINWRIGHT_TESTS=all a missing tool is a failure.
// Campaigns of many minutes stand behind the flag -long.
package tier

import (
	"flag"
	"os"
	"os/exec"
	"testing"
)

var long = flag.Bool("long", false, "campaigns of many minutes too")

// All tells whether every tool must be there.
func All() bool { return os.Getenv("GAINWRIGHT_TESTS") == "all" }

// Long tells whether campaigns of many minutes are to run.
func Long() bool { return *long }

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
