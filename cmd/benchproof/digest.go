package main

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"hash"
	"io"
	"reflect"
	"slices"
	"strings"
)

// digestOf gives a digest of any value: its types, its fields, exported or not,
// and what its pointers lead to. What is met again is told by the number of its
// first meeting, so that values with circles come to an end. Equal digests mean
// equal values; a value may have another digest where it shares otherwise.
func digestOf(v any) [sha256.Size]byte {
	d := digester{h: sha256.New(), met: map[metKey]uint64{}}
	d.value(reflect.ValueOf(v))
	return [sha256.Size]byte(d.h.Sum(nil))
}

type digester struct {
	h   hash.Hash
	met map[metKey]uint64
	b   [9]byte
}

type metKey struct {
	at uintptr
	of reflect.Type
}

// word adds a mark and a number.
func (d *digester) word(mark byte, n uint64) {
	d.b[0] = mark
	binary.BigEndian.PutUint64(d.b[1:], n)
	d.h.Write(d.b[:])
}

func (d *digester) text(mark byte, s string) {
	d.word(mark, uint64(len(s)))
	io.WriteString(d.h, s)
}

func (d *digester) value(v reflect.Value) {
	if !v.IsValid() {
		d.word('0', 0)
		return
	}
	switch v.Kind() {
	case reflect.Bool:
		n := uint64(0)
		if v.Bool() {
			n = 1
		}
		d.word('b', n)
	case reflect.String:
		d.text('s', v.String())
	case reflect.Interface:
		if v.IsNil() {
			d.word('0', 0)
			return
		}
		t := v.Elem().Type()
		d.text('i', t.PkgPath()+" "+t.String())
		d.value(v.Elem())
	case reflect.Pointer:
		if v.IsNil() {
			d.word('0', 0)
			return
		}
		key := metKey{v.Pointer(), v.Type()}
		if n, again := d.met[key]; again {
			d.word('^', n)
			return
		}
		d.met[key] = uint64(len(d.met))
		d.word('p', 0)
		d.value(v.Elem())
	case reflect.Struct:
		d.word('{', uint64(v.NumField()))
		for i := range v.NumField() {
			d.value(v.Field(i))
		}
	case reflect.Slice:
		d.word('[', uint64(v.Len()))
		if v.Type().Elem().Kind() == reflect.Uint8 {
			d.h.Write(v.Bytes())
			return
		}
		for i := range v.Len() {
			d.value(v.Index(i))
		}
	case reflect.Array:
		d.word('a', uint64(v.Len()))
		for i := range v.Len() {
			d.value(v.Index(i))
		}
	case reflect.Map:
		if v.Type().Key().Kind() != reflect.String {
			panic(fmt.Sprintf("a map of %s has no digest", v.Type().Key()))
		}
		d.word('m', uint64(v.Len()))
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, k := range keys {
			d.value(k)
			d.value(v.MapIndex(k))
		}
	default:
		switch {
		case v.CanInt():
			d.word('n', uint64(v.Int()))
		case v.CanUint():
			d.word('u', v.Uint())
		default: // a function, a float: nothing that a document may hold
			panic(fmt.Sprintf("a %s has no digest", v.Type()))
		}
	}
}
