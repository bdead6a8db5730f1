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

// Generate returns the files of a controller by name, the record among them. The names hold no
// folders. The same unit gives the same bytes.
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
	files := map[string][]byte{
		name + ".h":         c.Header(u),
		name + "_vectors.h": c.Vectors(u, c.DefaultTicks),
		name + "_stream.c":  c.Stream(u),
		name + "_board.c":   c.Board(u, c.DefaultTicks),

		name + "_loop_example.c": c.LoopExample(u),
	}
	maps.Copy(files, golang.Package(u))
	maps.Copy(files, instead)
	files[RecordName] = record(u, files).bytes()
	return files
}
