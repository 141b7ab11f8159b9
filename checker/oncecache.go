package checker

import "sync"

// onceCache keeps what was made for a name, so that many kits share one making. It
// is safe for use by several goroutines; the zero onceCache is empty.
type onceCache[T any] struct {
	mu sync.Mutex
	of map[string]*onceValue[T]
}

type onceValue[T any] struct {
	once  sync.Once
	value T
}

// get returns what read gives for the name, once.
func (k *onceCache[T]) get(name string, read func() T) T {
	k.mu.Lock()
	if k.of == nil {
		k.of = map[string]*onceValue[T]{}
	}
	v := k.of[name]
	if v == nil {
		v = new(onceValue[T])
		k.of[name] = v
	}
	k.mu.Unlock()
	v.once.Do(func() { v.value = read() })
	return v.value
}

// look returns what was made for the name, the zero value where nothing was.
func (k *onceCache[T]) look(name string) T {
	k.mu.Lock()
	v := k.of[name]
	k.mu.Unlock()
	if v == nil {
		var none T
		return none
	}
	return v.value
}
