package board

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// wholeFile is the file with everything that this version knows of.
type wholeFile struct {
	Format  string  `json:"format"`
	Version int     `json:"version"`
	SHA256  string  `json:"sha256"`
	Job     fileJob `json:"job"`
}

// unknownFields notes the fields of a file that this version does not know, and
// fields given twice in one place.
func unknownFields(data []byte) []string {
	w := &walker{seen: map[string]bool{}}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	w.value(d, reflect.TypeFor[wholeFile](), "")
	if w.more > 0 {
		w.notes = append(w.notes, fmt.Sprintf("%d more such fields.", w.more))
	}
	return w.notes
}

// strictly reads JSON; known is false where it holds fields that T does not know,
// which are then passed over.
func strictly[T any](data []byte) (v T, known bool, err error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if d.Decode(&v) == nil && !d.More() {
		return v, true, nil
	}
	var again T // the failed attempt may have left something behind
	err = json.Unmarshal(data, &again)
	return again, false, err
}

// walker goes through JSON beside the type it is read into.
type walker struct {
	notes []string
	seen  map[string]bool
	more  int
}

// value walks one value of type t, nil where it is unknown already.
func (w *walker) value(d *json.Decoder, t reflect.Type, path string) {
	token, err := d.Token()
	if err != nil {
		return
	}
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch token {
	case json.Delim('{'):
		w.object(d, t, path)
	case json.Delim('['):
		if t != nil && t.Kind() == reflect.Slice {
			t = t.Elem()
		} else {
			t = nil
		}
		for d.More() {
			w.value(d, t, path)
		}
		_, _ = d.Token()
	}
}

// object walks the members of an object.
func (w *walker) object(d *json.Decoder, t reflect.Type, path string) {
	var members []string
	for d.More() {
		token, err := d.Token()
		if err != nil {
			return
		}
		name, _ := token.(string)
		at := strings.TrimPrefix(path+"."+name, ".")
		var field reflect.Type
		if t != nil && t.Kind() == reflect.Struct {
			f, ok := jsonField(t, name)
			if !ok {
				w.note(at, fmt.Sprintf("The field %q is not known to this version and will be left out of the next save; the copy before it is kept as .bak.", at))
			} else {
				field = f.Type
			}
			key := strings.ToLower(name)
			if slices.Contains(members, key) {
				w.note(at+" twice", fmt.Sprintf("The field %q is given twice in one place; the last one counts.", at))
			}
			members = append(members, key)
		}
		w.value(d, field, at)
	}
	_, _ = d.Token()
}

// note keeps a note once.
func (w *walker) note(key, text string) {
	switch {
	case w.seen[key]:
	case len(w.notes) == maxNotes:
		w.more++
	default:
		w.notes = append(w.notes, text)
	}
	w.seen[key] = true
}

// jsonField finds the field that encoding/json would read a name into.
func jsonField(t reflect.Type, name string) (reflect.StructField, bool) {
	for _, f := range reflect.VisibleFields(t) {
		tag, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.Anonymous && strings.EqualFold(tag, name) {
			return f, true
		}
	}
	return reflect.StructField{}, false
}
