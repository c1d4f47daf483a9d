package model

import (
	"fmt"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fill puts something into every field that is reachable, so that no list is
// empty. It knows no field by name: one added to the model is filled too.
func fill(v reflect.Value, n *int) {
	*n++
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), n)
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range v.Len() {
			fill(v.Index(i), n)
		}
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		key, value := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		fill(key, n)
		fill(value, n)
		v.SetMapIndex(key, value)
	case reflect.String:
		v.SetString(fmt.Sprint("word ", *n))
	case reflect.Int:
		v.SetInt(int64(*n))
	case reflect.Bool:
		v.SetBool(true)
	default:
		panic("a kind that the model has not had so far: " + v.Kind().String())
	}
}

// shared visits both values together and reports lists and maps that they share.
func shared(t *testing.T, a, b reflect.Value, path string) int {
	lists := 0
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			lists += shared(t, a.Field(i), b.Field(i), path+"."+a.Type().Field(i).Name)
		}
	case reflect.Slice:
		lists++
		require.Positive(t, a.Len(), "%s should have been filled", path)
		assert.NotEqual(t, a.Pointer(), b.Pointer(), "the copy shares %s with the original", path)
		for i := range a.Len() {
			lists += shared(t, a.Index(i), b.Index(i), fmt.Sprintf("%s[%d]", path, i))
		}
	case reflect.Map:
		lists++
		require.Positive(t, a.Len(), "%s should have been filled", path)
		assert.NotEqual(t, a.Pointer(), b.Pointer(), "the copy shares %s with the original", path)
	}
	return lists
}

func TestACopyOfAnElectionSaysTheSameAndSharesNothing(t *testing.T) {
	var e Election
	n := 0
	fill(reflect.ValueOf(&e).Elem(), &n)
	c := e.Clone()
	require.Equal(t, &e, c, "a copy says what the original says")
	lists := shared(t, reflect.ValueOf(e), reflect.ValueOf(*c), "Election")
	assert.Greater(t, lists, 100, "the walk should reach every list")
}

func TestACopyKeepsWhatIsNil(t *testing.T) {
	assert.Equal(t, &Election{}, (&Election{}).Clone())
	e := &Election{Contests: []Contest{{PrimaryParties: Say([]int{}), Choices: []Choice{{Lines: Say[[]int](nil)}}}}}
	assert.Equal(t, e, e.Clone(), "nil and empty stay what they are")
}
