// Package gen makes all files of one controller, as one map from name to content. It reads and
// writes nothing: package disk does.
package gen

import (
	"fmt"
	"maps"

	"gainwright/gen/c"
	"gainwright/gen/golang"
	"gainwright/gen/proof"
	"gainwright/model"
)

// Host is the folder, inside that of a controller, for all that no firmware is built from. Some builders compile
// every C file that they find beside the firmware: there, only the header stands.
const Host = "host"

// Generate returns the files of a controller by path, the record among them. Paths are relative and written with
// slashes: the header and go.mod stand at the top, all else in Host. The same unit gives the same bytes.
func Generate(u *model.Unit) (map[string][]byte, error) {
	if !u.OK() {
		return nil, fmt.Errorf("%s: no code is made from a spec with errors", u.BaseName())
	}
	return generate(u, nil), nil
}

// GenerateACSL is Generate with a header whose contracts and ranges Frama-C can prove, and the driver to do it
// with. The annotations are comments; nothing else differs.
func GenerateACSL(u *model.Unit) (map[string][]byte, error) {
	annotated, err := proof.Files(u)
	if err != nil {
		return nil, err
	}
	return generate(u, annotated), nil
}

// generate makes all files; those of the caller stand in place of the ones of the same name.
func generate(u *model.Unit, instead map[string][]byte) map[string][]byte {
	name := u.Spec.Name
	made := map[string][]byte{
		name + ".h":         c.Header(u),
		name + "_vectors.h": c.Vectors(u, c.DefaultTicks),
		name + "_stream.c":  c.Stream(u),
		name + "_board.c":   c.Board(u, c.DefaultTicks),

		name + "_loop_example.c": c.LoopExample(u),
	}
	maps.Copy(made, golang.Package(u))
	maps.Copy(made, instead)
	files := map[string][]byte{}
	for base, content := range made {
		files[place(u, base)] = content
	}
	files[RecordName] = record(u, files).bytes()
	return files
}

// place is the path of a file. The module's file stands above Host for the sake of the Go tool, which remembers
// that a test passed until a file changes that the test read, but looks at files of the module alone: the header
// must be one of them.
func place(u *model.Unit, base string) string {
	if base == u.Spec.Name+".h" || base == "go.mod" {
		return base
	}
	return Host + "/" + base
}
