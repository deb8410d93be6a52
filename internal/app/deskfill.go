package app

import (
	"container/list"
	"reflect"
	"sync"
)

// fill makes every nil list and map that a value holds an empty one, so that
// pages never meet null where a list is promised. v is a pointer to a value
// that nobody else reads yet.
func fill(v any) { fillValue(reflect.ValueOf(v).Elem()) }

// Filled is a value with every nil list and map in it made an empty one, for who
// has no pointer to it; what it points to is filled in place.
func Filled(v any) any {
	if v == nil {
		return nil
	}
	to := reflect.New(reflect.TypeOf(v))
	to.Elem().Set(reflect.ValueOf(v))
	fillValue(to)
	return to.Elem().Interface()
}

func fillValue(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			fillValue(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				fillValue(v.Field(i))
			}
		}
	case reflect.Slice:
		if v.IsNil() {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		}
		if holds(v.Type().Elem()) {
			for i := range v.Len() {
				fillValue(v.Index(i))
			}
		}
	case reflect.Map:
		if v.IsNil() {
			v.Set(reflect.MakeMap(v.Type()))
		}
		if !holds(v.Type().Elem()) {
			return
		}
		for _, k := range v.MapKeys() { // what a map holds cannot be changed in place
			one := reflect.New(v.Type().Elem()).Elem()
			one.Set(v.MapIndex(k))
			fillValue(one)
			v.SetMapIndex(k, one)
		}
	}
}

// holds reports whether values of a type can hold a list or map.
func holds(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Pointer, reflect.Struct, reflect.Slice, reflect.Map:
		return true
	}
	return false
}

// cache keeps what was used last, up to a total size.
type cache[V any] struct {
	mu    sync.Mutex
	most  int
	size  func(V) int
	total int
	order *list.List // of *cached[V], the last used in front
	find  map[string]*list.Element
}

type cached[V any] struct {
	key   string
	value V
	size  int
}

func newCache[V any](most int, size func(V) int) *cache[V] {
	return &cache[V]{most: most, size: size, order: list.New(), find: map[string]*list.Element{}}
}

func (c *cache[V]) get(key string) (V, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if e, ok := c.find[key]; ok {
		c.order.MoveToFront(e)
		return e.Value.(*cached[V]).value, true
	}
	var none V
	return none, false
}

// getOrPut finds a value or makes it; it is made once, by whoever asks first.
func (c *cache[V]) getOrPut(key string, make func() V) V {
	c.mu.Lock()
	defer c.mu.Unlock()
	if e, ok := c.find[key]; ok {
		c.order.MoveToFront(e)
		return e.Value.(*cached[V]).value
	}
	v := make()
	c.add(key, v)
	return v
}

func (c *cache[V]) put(key string, v V) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if e, ok := c.find[key]; ok {
		c.drop(e)
	}
	c.add(key, v)
}

// add puts a new value in front; the lock is held.
func (c *cache[V]) add(key string, v V) {
	one := &cached[V]{key, v, c.size(v)}
	c.find[key] = c.order.PushFront(one)
	c.total += one.size
	for c.total > c.most && c.order.Len() > 1 {
		c.drop(c.order.Back())
	}
}

func (c *cache[V]) drop(e *list.Element) {
	one := e.Value.(*cached[V])
	c.order.Remove(e)
	delete(c.find, one.key)
	c.total -= one.size
}
