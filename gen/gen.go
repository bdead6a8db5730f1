// Package gen makes all files of one controller, as one map from name to content. It reads and
// writes nothing: package disk does.
package gen

import (
	"fmt"
	"maps"

	"gainwright/gen/c"
	"gainwright/gen/golang"
	"gainwright/model"
)

// Generate returns the files of a controller by name, the record among them. The names hold no
// folders. The same unit gives the same bytes.
func Generate(u *model.Unit) (map[string][]byte, error) {
	if !u.OK() {
		return nil, fmt.Errorf("%s: no code is made from a spec with errors", u.BaseName())
	}
	name := u.Spec.Name
	files := map[string][]byte{
		name + ".h":         c.Header(u),
		name + "_vectors.h": c.Vectors(u, c.DefaultTicks),
		name + "_stream.c":  c.Stream(u),
	}
	maps.Copy(files, golang.Package(u))
	files[RecordName] = record(u, files).bytes()
	return files, nil
}
