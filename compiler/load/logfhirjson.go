package load

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A resource is read as plain JSON first, so that a value is found whatever element it stands in.

type object = map[string]any

// deepest is how far the objects and lists of an entry may nest: an honest one has a tenth.
const deepest = 200

var (
	errTwice = errors.New("a name stands twice in one object")
	errDeep  = fmt.Errorf("its objects and lists nest over %d deep", deepest)
)

// plainValue decodes one JSON value with its numbers as they stand. The first letter of a name counts in either case.
func plainValue(raw []byte) (any, error) {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	return nextValue(d, 0)
}

func nextValue(d *json.Decoder, depth int) (any, error) {
	if depth > deepest {
		return nil, errDeep
	}
	t, err := d.Token()
	if err != nil {
		return nil, err
	}
	switch t {
	case json.Delim('{'):
		out := object{}
		for d.More() {
			name, err := d.Token()
			if err != nil {
				return nil, err
			}
			key := lowerFirst(name.(string))
			if _, twice := out[key]; twice {
				return nil, errTwice
			}
			if out[key], err = nextValue(d, depth+1); err != nil {
				return nil, err
			}
		}
		_, err = d.Token()
		return out, err
	case json.Delim('['):
		out := []any{}
		for d.More() {
			x, err := nextValue(d, depth+1)
			if err != nil {
				return nil, err
			}
			out = append(out, x)
		}
		_, err = d.Token()
		return out, err
	}
	return t, nil
}

func lowerFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || !unicode.IsUpper(r) {
		return s
	}
	return string(unicode.ToLower(r)) + s[n:]
}

// sortedKeys are the names of an object, so that the same file gives the same rows.
func sortedKeys(o object) []string {
	out := make([]string, 0, len(o))
	for k := range o {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// wrong notes the first element that is of another kind than FHIR says: an Observation with one is not guessed at.
func (b *bundleReader) wrong(key string) {
	if b.err == nil {
		b.err = fmt.Errorf("%s is of another kind than FHIR R4 says", strings.ToLower(key))
	}
}

func (b *bundleReader) list(o object, key string) []any {
	switch v := o[key].(type) {
	case nil:
	case []any:
		return v
	default:
		b.wrong(key)
	}
	return nil
}

func (b *bundleReader) object(o object, key string) object {
	out, ok := o[key].(object)
	if o[key] != nil && !ok {
		b.wrong(key)
	}
	return out
}

func (b *bundleReader) text(o object, key string) string {
	out, ok := o[key].(string)
	if o[key] != nil && !ok {
		b.wrong(key)
	}
	return out
}

// objects are the objects of a list.
func (b *bundleReader) objects(o object, key string) (out []object) {
	for _, v := range b.list(o, key) {
		if x, ok := v.(object); ok {
			out = append(out, x)
		} else {
			b.wrong(key)
		}
	}
	return out
}
