package sheet

import "slices"

// emptyPage is the share of a page's height below which a chapter's last page
// looks forgotten: a pass with its heading, or a paragraph, alone on it.
const emptyPage = 0.36

// place is how far a chapter has been set: everything before one of its blocks.
type place struct {
	block          int
	pages, entries int
	items          []Item
	marks          []Mark
	y              float64
	fresh          bool
}

// setChapter sets a chapter's blocks. If its last page would be nearly empty, what
// stands last on the page before goes there with it.
func (f *flow) setChapter(blocks []Block) {
	var places []place
	set := func(from int) {
		for j := from; j < len(blocks); j++ {
			if j > from && f.divides(blocks, j) {
				places = append(places, f.here(j))
			}
			f.block(blocks[j], blocks[j+1:])
		}
	}
	f.headed = false
	set(0)
	least := emptyPage * f.in.H()
	last := len(f.d.Pages)
	for i := len(places) - 1; i >= 0 && f.y < least; i-- {
		p := places[i]
		if p.pages == last {
			continue // it stands there already
		}
		if p.pages < last-1 || p.y < f.y {
			break // the page before would be the emptier one
		}
		was, pages, entries := f.here(len(blocks)), slices.Clone(f.d.Pages), slices.Clone(f.entries)
		f.back(p)
		f.end()
		f.open()
		set(p.block)
		if len(f.d.Pages) > last { // it would take a page more
			f.d.Pages, f.entries = pages, entries
			f.back(was)
			break
		}
	}
}

// divides reports whether a page may end before a block: not between a heading or
// a paragraph and what it introduces.
func (f *flow) divides(blocks []Block, j int) bool {
	switch blocks[j-1].(type) {
	case Heading:
		return false
	case Words:
		_, heading := blocks[j].(Heading)
		return heading
	}
	return true
}

// here remembers how far the chapter has been set.
func (f *flow) here(block int) place {
	return place{block, len(f.d.Pages), len(f.entries), f.items[:len(f.items):len(f.items)], f.marks[:len(f.marks):len(f.marks)], f.y, f.fresh}
}

// back takes away what was set since.
func (f *flow) back(p place) {
	f.d.Pages = f.d.Pages[:p.pages]
	f.entries = f.entries[:p.entries]
	f.items, f.marks, f.y, f.fresh, f.headed = p.items, p.marks, p.y, p.fresh, false
}
