package checks

import (
	"fmt"
	"github.com/google/go-cmp/cmp"
	"reflect"
	"strings"

	"counterproof/checks/finding"
)

// sweptField is what the sweep found unlike: a field of a thing, or a thing that it could
// not compare for a fault.
type sweptField struct{ Thing, Path, Fault string }

func nothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return finding.Quote(s)
}

// fieldDifferences collects the paths at which two values differ, in the words of
// claims: "Choices[2].Lines". The fields of a Stated are left out of the path.
type fieldDifferences struct {
	path  cmp.Path
	found []fieldDifference
	seen  map[string]bool
}

type fieldDifference struct{ path, primary, second string }

func (d *fieldDifferences) PushStep(s cmp.PathStep) { d.path = append(d.path, s) }

func (d *fieldDifferences) PopStep() { d.path = d.path[:len(d.path)-1] }

func (d *fieldDifferences) Report(r cmp.Result) {
	if r.Equal() {
		return
	}
	var b strings.Builder
	for i, s := range d.path {
		switch s := s.(type) {
		case cmp.StructField:
			if isStated(d.path[i-1].Type()) {
				continue
			}
			if b.Len() > 0 {
				b.WriteByte('.')
			}
			b.WriteString(s.Name())
		case cmp.SliceIndex:
			x, y := s.SplitKeys()
			fmt.Fprintf(&b, "[%d]", max(x, y))
		}
	}
	path := b.String()
	if d.seen == nil {
		d.seen = map[string]bool{}
	}
	if d.seen[path] {
		return
	}
	d.seen[path] = true
	x, y := d.path.Last().Values()
	d.found = append(d.found, fieldDifference{path, show(x), show(y)})
}

func show(v reflect.Value) string {
	if !v.IsValid() {
		return ""
	}
	s := fmt.Sprint(v)
	if len(s) > 200 {
		s = s[:200] + "…"
	}
	return s
}

func isStated(t reflect.Type) bool {
	if t == nil || t.Kind() != reflect.Struct || t.NumField() != 2 {
		return false
	}
	return t.Field(0).Name == "Value" && t.Field(1).Name == "Known"
}

// forgetUnstated clears, in both values, every Stated that either leaves
// unstated: what one side did not say is not compared.
func forgetUnstated(a, b reflect.Value) {
	switch a.Kind() {
	case reflect.Struct:
		if isStated(a.Type()) {
			if !a.Field(1).Bool() || !b.Field(1).Bool() {
				a.SetZero()
				b.SetZero()
			}
			return
		}
		for i := range a.NumField() {
			forgetUnstated(a.Field(i), b.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range min(a.Len(), b.Len()) {
			forgetUnstated(a.Index(i), b.Index(i))
		}
	}
}

// copyOf returns a copy of a value that shares no slices with it.
func copyOf(v any) reflect.Value {
	out := reflect.New(reflect.TypeOf(v)).Elem()
	deepCopy(out, reflect.ValueOf(v))
	return out
}

func deepCopy(to, from reflect.Value) {
	switch from.Kind() {
	case reflect.Struct:
		for i := range from.NumField() {
			deepCopy(to.Field(i), from.Field(i))
		}
	case reflect.Slice:
		if from.Len() == 0 {
			return // nil and empty say the same
		}
		to.Set(reflect.MakeSlice(from.Type(), from.Len(), from.Len()))
		for i := range from.Len() {
			deepCopy(to.Index(i), from.Index(i))
		}
	default:
		to.Set(from)
	}
}
