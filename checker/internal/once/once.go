// Package once keeps what was made for a name, so that many share one making.
package once

import "sync"

// Cache holds a value for each name. It is safe for use by several goroutines;
// the zero Cache is empty.
type Cache[T any] struct{ made sync.Map }

// Get returns what make gives for the name, which is called once.
func (c *Cache[T]) Get(name string, make func() T) T {
	f, _ := c.made.LoadOrStore(name, sync.OnceValue(make))
	return f.(func() T)()
}

// Look returns what was made for the name, the zero value where nothing was.
func (c *Cache[T]) Look(name string) (value T) {
	if f, found := c.made.Load(name); found {
		return f.(func() T)()
	}
	return value
}
