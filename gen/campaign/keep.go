package campaign

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// Keep writes the spec of a failure into a folder, named by what failed and by its own hash, with a first line that
// says more. It returns the path.
func (f Failure) Keep(folder string) (string, error) {
	text := f.Spec.Text()
	path := filepath.Join(folder, fmt.Sprintf("%s-%.4x.yaml", f.What, sha256.Sum256(text)))
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	plain := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, firstLine(f.Why))
	return path, os.WriteFile(path, fmt.Appendf(nil, "# %s, seed %d: %s\n%s", f.What, f.Seed, plain, text), 0o644)
}
