package spec

import (
	"os"
	"path/filepath"
	"testing"
)

// FuzzRead throws texts at the reader: no panic, no hang, and findings that can be shown.
func FuzzRead(f *testing.F) {
	f.Add([]byte(cart))
	specs, err := filepath.Glob(filepath.Join(badCases, "*", "spec.yaml"))
	if err != nil {
		f.Fatal(err)
	}
	for _, path := range specs {
		src, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(src)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		s, found := Read("fuzz.yaml", src)
		if len(src) <= maxSource {
			checkFindings(t, string(src), s, found)
		}
	})
}
