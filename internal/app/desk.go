package app

import (
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"sync"

	"facings"
)

// Desk is the use cases behind the pages: projects in the keeping of a
// database, edits with undo, plans made in the background, and the bench. It
// may be used from several goroutines.
//
// Of each project that is asked for it holds the last revisions as read and the
// newest plan; everything else is the keeper's.
type Desk struct {
	app    App
	keeper Keeper
	ctx    context.Context // ends with Close
	cancel context.CancelFunc
	// planning lets one plan be made at a time: the search uses all processors.
	planning chan struct{}
	working  sync.WaitGroup
	studio   *studio
	pictures *cache[[]byte]
	meshes   *cache[*keptMesh]
	// campaigns are worked out beside the plans, and do not keep them waiting.
	campaigns *campaigns

	mu   sync.Mutex
	open map[string]*session
}

// Sizes of what is held in memory.
const (
	heldRevisions = 6
	heldSessions  = 24
	heldPictures  = 16 << 20 // bytes: some hundreds
	heldMeshes    = 4
)

// NewDesk makes a desk over a keeper. The app's clock, steps and runs are used;
// its Progress is not. Close ends what goes on in the background.
func NewDesk(a *App, k Keeper) *Desk {
	d := &Desk{app: *a, keeper: k, planning: make(chan struct{}, 1), studio: newStudio(), campaigns: newCampaigns(), open: map[string]*session{},
		pictures: newCache(heldPictures, func(b []byte) int { return len(b) }), meshes: newCache(heldMeshes, func(*keptMesh) int { return 1 })}
	d.app.Progress, d.app.Paints, d.app.Measures = nil, d.studio.paints, NewMeasures()
	d.ctx, d.cancel = context.WithCancel(context.Background())
	return d
}

// Close stops planning. The keeper stays open.
func (d *Desk) Close() {
	d.cancel()
	d.working.Wait()
}

// session is what is held of one project.
type session struct {
	id string

	mu        sync.Mutex
	revisions []*revision // the last used last
	log       []facings.Entry
	logRead   bool
	progress  facings.Progress
	plan      *planned // the newest, nil before the first
	job       *planJob // what is being made, nil for nothing
	listeners map[chan Event]bool
	used      int64 // for throwing the longest unused session out
}

// revision is one state of a project as read.
type revision struct {
	number int
	text   []byte
	files  map[string]string
	opened *Opened

	once   sync.Once
	coats  *Plan // with roster, coats and colours, whatever is done
	coatsE error
}

func (d *Desk) session(id string) *session {
	d.mu.Lock()
	defer d.mu.Unlock()
	s := d.open[id]
	if s == nil {
		if len(d.open) >= heldSessions {
			d.dropOne()
		}
		s = &session{id: id, listeners: map[chan Event]bool{}}
		d.open[id] = s
	}
	s.used = d.app.now().UnixNano()
	return s
}

// dropOne forgets the session that was not used for longest and that nothing
// waits for; the lock is held.
func (d *Desk) dropOne() {
	var oldest *session
	for _, s := range d.open {
		s.mu.Lock()
		idle := s.job == nil && len(s.listeners) == 0
		s.mu.Unlock()
		if idle && (oldest == nil || s.used < oldest.used) {
			oldest = s
		}
	}
	if oldest != nil {
		delete(d.open, oldest.id)
	}
}

// at finds a revision of a project, read; 0 for the one in force.
func (d *Desk) at(ctx context.Context, id string, number int) (*session, *revision, error) {
	var rev facings.Revision
	if number == 0 {
		kept, err := d.keeper.Project(ctx, id)
		if err != nil {
			return nil, nil, err
		}
		number = kept.Revision
	}
	s := d.session(id)
	s.mu.Lock()
	for i, r := range s.revisions {
		if r.number == number {
			s.revisions = append(slices.Delete(s.revisions, i, i+1), r)
			s.mu.Unlock()
			return s, r, nil
		}
	}
	s.mu.Unlock()
	rev, err := d.keeper.Revision(ctx, id, number)
	if err != nil {
		return nil, nil, err
	}
	return s, s.hold(d.read(id, rev)), nil
}

// head is the revision in force.
func (d *Desk) head(ctx context.Context, id string) (*session, *revision, error) {
	return d.at(ctx, id, 0)
}

// hold remembers a revision, or finds the same already remembered.
func (s *session) hold(r *revision) *revision {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, old := range s.revisions {
		if old.number == r.number {
			return old
		}
	}
	s.revisions = append(s.revisions, r)
	if len(s.revisions) > heldRevisions {
		s.revisions = slices.Delete(s.revisions, 0, 1)
	}
	return r
}

// fileName is what findings call the project file.
const fileName = "project.yaml"

// read reads a revision's text.
func (d *Desk) read(id string, rev facings.Revision) *revision {
	// Faults stand in the findings; a text that is no project at all was never
	// taken in.
	o, _ := d.app.Read(fileName, rev.Text)
	return d.asRead(id, rev, o)
}

// asRead is a revision whose text was read.
func (d *Desk) asRead(id string, rev facings.Revision, o *Opened) *revision {
	r := &revision{number: rev.Number, text: rev.Text, files: rev.Files, opened: o}
	if r.files == nil {
		r.files = map[string]string{}
	}
	r.opened.Beside = d.beside(id, r.files)
	if r.opened.Project != nil {
		fill(r.opened.Project)
	}
	if r.opened.Findings == nil {
		r.opened.Findings = facings.Diagnostics{}
	}
	return r
}

// beside reads files out of the keeping.
func (d *Desk) beside(id string, files map[string]string) func(string) ([]byte, error) {
	return func(name string) ([]byte, error) {
		hash, ok := files[name]
		if !ok {
			return nil, fmt.Errorf("%s: %w; it should lie beside the project", name, facings.ErrNotFound)
		}
		return d.content(d.ctx, id, hash)
	}
}

func (d *Desk) content(ctx context.Context, id, hash string) ([]byte, error) {
	f, err := d.keeper.File(ctx, id, hash)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, facings.MaxOneFile+1))
}

// headOf shapes a revision that is in force.
func headOf(kept facings.Kept, r *revision) *Head {
	return &Head{Kept: kept, Revision: r.number, Project: r.opened.Project, Findings: r.opened.Findings, Files: maps.Clone(r.files)}
}

// Projects lists the projects, the last changed first; those thrown away if gone.
func (d *Desk) Projects(ctx context.Context, gone bool) ([]facings.Kept, error) {
	list, err := d.keeper.Projects(ctx, gone)
	if err != nil {
		return nil, err
	}
	out := []facings.Kept{}
	for _, k := range list {
		if (k.Gone != nil) == gone {
			out = append(out, k)
		}
	}
	return out, nil
}

// Head is a project as it stands.
func (d *Desk) Head(ctx context.Context, id string) (*Head, error) {
	kept, err := d.keeper.Project(ctx, id)
	if err != nil {
		return nil, err
	}
	_, r, err := d.at(ctx, id, kept.Revision)
	if err != nil {
		return nil, err
	}
	return headOf(kept, r), nil
}

// Throw puts a project away, or takes it back.
func (d *Desk) Throw(ctx context.Context, id string, away bool) error {
	return d.keeper.Throw(ctx, id, away)
}

// mostListeners bounds the pages that may listen to one project.
const mostListeners = 64

// Subscribe hears what changes in a project until stop is called. A listener
// that does not keep up misses events; it fetches everything anyway.
func (d *Desk) Subscribe(ctx context.Context, id string) (<-chan Event, func(), error) {
	if _, err := d.keeper.Project(ctx, id); err != nil {
		return nil, nil, err
	}
	s := d.session(id)
	ch := make(chan Event, 16)
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.listeners) >= mostListeners {
		return nil, nil, &Mistake{Message: "too many pages listen to this project", Hint: "close some of them"}
	}
	s.listeners[ch] = true
	return ch, func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		delete(s.listeners, ch)
	}, nil
}

// tell sends an event to all who listen; the lock is held.
func (s *session) tell(e Event) {
	for ch := range s.listeners {
		select {
		case ch <- e:
		default: // it is behind, and will fetch what the next one names
		}
	}
}
