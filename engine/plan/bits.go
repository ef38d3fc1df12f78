package plan

import "math/bits"

// set is a set of small numbers.
type set []uint64

func newSet(size int, members ...int) set {
	s := make(set, (size+63)/64)
	for _, n := range members {
		s.add(n)
	}
	return s
}

func (s set) has(n int) bool { return s[n/64]&(1<<(n%64)) != 0 }
func (s set) add(n int)      { s[n/64] |= 1 << (n % 64) }
func (s set) remove(n int)   { s[n/64] &^= 1 << (n % 64) }
func (s set) clone() set     { return append(set(nil), s...) }

func (s set) with(n int) set {
	s = s.clone()
	s.add(n)
	return s
}

func (s set) without(n int) set {
	s = s.clone()
	s.remove(n)
	return s
}

// join adds all of another set, and tells whether any was new.
func (s set) join(o set) (grown bool) {
	for i, w := range o {
		grown = grown || w&^s[i] != 0
		s[i] |= w
	}
	return grown
}

// minus gives the members that another set does not have, and both those that it has too.
func (s set) minus(o set) set {
	r := s.clone()
	for i, w := range o {
		r[i] &^= w
	}
	return r
}

func (s set) both(o set) set {
	r := s.clone()
	for i, w := range o {
		r[i] &= w
	}
	return r
}

func (s set) meets(o set) bool {
	for i, w := range o {
		if s[i]&w != 0 {
			return true
		}
	}
	return false
}

func (s set) within(o set) bool {
	for i, w := range s {
		if w&^o[i] != 0 {
			return false
		}
	}
	return true
}

func (s set) empty() bool {
	for _, w := range s {
		if w != 0 {
			return false
		}
	}
	return true
}

func (s set) count() (n int) {
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// list gives the members, rising.
func (s set) list() []int {
	list := make([]int, 0, s.count())
	for i, w := range s {
		for ; w != 0; w &= w - 1 {
			list = append(list, i*64+bits.TrailingZeros64(w))
		}
	}
	return list
}

// key names a set among those of the same size.
func (s set) key() string {
	b := make([]byte, 0, len(s)*8)
	for _, w := range s {
		for range 8 {
			b = append(b, byte(w))
			w >>= 8
		}
	}
	return string(b)
}
