package document

import (
	"bytes"
	"encoding/json"
	"io"
)

// Object is an object of JSON whose keys keep their order. A field without a key hands over the fields of its value; one whose value is nil is left out.
type Object []Field

// Field is one key with its value.
type Field struct {
	Key   string
	Value any
}

// Fields makes an object of keys and their values in turn.
func Fields(keysAndValues ...any) (o Object) {
	for i := 0; i < len(keysAndValues); i += 2 {
		o = append(o, Field{keysAndValues[i].(string), keysAndValues[i+1]})
	}
	return o
}

// Null is a value that programs find under its key, and that is not there.
var Null = json.RawMessage("null")

// MarshalJSON writes the fields in their order.
func (o Object) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	for _, f := range o {
		if f.Value == nil {
			continue
		}
		text, err := compact(f.Value)
		if err != nil {
			return nil, err
		}
		if f.Key == "" {
			text = bytes.TrimSuffix(bytes.TrimPrefix(text, []byte("{")), []byte("}"))
		} else {
			key, _ := compact(f.Key) // a string has JSON
			text = append(append(key, ':'), text...)
		}
		if out.Len() > 0 && len(text) > 0 {
			out.WriteByte(',')
		}
		out.Write(text)
	}
	return append(append([]byte("{"), out.Bytes()...), '}'), nil
}

// MarshalJSON writes a list of objects, one for each row: its values by the keys of their columns.
func (t *Table) MarshalJSON() ([]byte, error) {
	rows := []Object{}
	for _, r := range t.Rows {
		row := Object{}
		for i, c := range t.Columns {
			if c.Key != "" {
				row = append(row, Field{c.Key, r.Cells[i].Value})
			}
		}
		rows = append(rows, row)
	}
	return compact(rows)
}

// MarshalJSON writes what programs read.
func (d *Document) MarshalJSON() ([]byte, error) {
	return compact(append(Object{{"tool", d.Tool}, {"spec", d.Spec}, {"verdict", d.Verdict}}, d.Data...))
}

// JSON writes the document for programs.
func (d *Document) JSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(d)
}

func compact(of any) ([]byte, error) {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	err := e.Encode(of)
	return bytes.TrimSuffix(out.Bytes(), []byte("\n")), err
}
