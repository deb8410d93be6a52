package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"

	"facings"
	"facings/internal/app"
)

// memory is an app.Keeper in memory, for tests of what is in front of it.
type memory struct {
	mu       sync.Mutex
	now      func() time.Time
	projects map[string]*memoryProject
	files    map[string][]byte
	values   map[string][]byte
	made     int
	full     bool // refuses everything new
}

type memoryProject struct {
	kept      facings.Kept
	revisions []facings.Revision
	redo      map[int]int // parent → child last undone
	log       []facings.Entry
}

var _ app.Keeper = (*memory)(nil)

func newMemory(now func() time.Time) *memory {
	return &memory{now: now, projects: map[string]*memoryProject{}, files: map[string][]byte{}, values: map[string][]byte{}}
}

func (m *memory) find(id string) (*memoryProject, error) {
	if p := m.projects[id]; p != nil {
		return p, nil
	}
	return nil, fmt.Errorf("project %q: %w", id, facings.ErrNotFound)
}

func (m *memory) Projects(_ context.Context, gone bool) ([]facings.Kept, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var out []facings.Kept
	for _, p := range m.projects {
		if gone || p.kept.Gone == nil {
			out = append(out, p.kept)
		}
	}
	slices.SortFunc(out, func(a, b facings.Kept) int { return b.Changed.Compare(a.Changed) })
	return out, nil
}

func (m *memory) Project(_ context.Context, id string) (facings.Kept, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, err := m.find(id)
	if err != nil {
		return facings.Kept{}, err
	}
	return p.kept, nil
}

func (m *memory) Create(_ context.Context, name string, first facings.Revision) (facings.Kept, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.full {
		return facings.Kept{}, facings.ErrFull
	}
	m.made++
	first.Number, first.Parent, first.At = 1, 0, m.now()
	p := &memoryProject{kept: facings.Kept{ID: fmt.Sprintf("p%d", m.made), Name: name, Made: m.now(), Changed: m.now(), Revision: 1}, revisions: []facings.Revision{first}, redo: map[int]int{}}
	m.projects[p.kept.ID] = p
	return p.kept, nil
}

func (m *memory) Throw(_ context.Context, id string, away bool) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, err := m.find(id)
	if err != nil {
		return err
	}
	p.kept.Gone = nil
	if now := m.now(); away {
		p.kept.Gone = &now
	}
	return nil
}

func (m *memory) Head(ctx context.Context, id string) (facings.Revision, error) {
	k, err := m.Project(ctx, id)
	if err != nil {
		return facings.Revision{}, err
	}
	return m.Revision(ctx, id, k.Revision)
}

func (m *memory) Revision(_ context.Context, id string, number int) (facings.Revision, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, err := m.find(id)
	if err != nil {
		return facings.Revision{}, err
	}
	if number < 1 || number > len(p.revisions) {
		return facings.Revision{}, fmt.Errorf("revision %d: %w", number, facings.ErrNotFound)
	}
	return p.revisions[number-1], nil
}

func (m *memory) History(_ context.Context, id string, before, n int) ([]facings.Revision, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, err := m.find(id)
	if err != nil {
		return nil, err
	}
	var out []facings.Revision
	for _, r := range slices.Backward(p.revisions) {
		if (before == 0 || r.Number < before) && len(out) < n {
			r.Text = nil
			out = append(out, r)
		}
	}
	return out, nil
}

func (m *memory) Commit(_ context.Context, id string, base int, next facings.Revision, name string) (facings.Revision, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, err := m.find(id)
	switch {
	case err != nil:
		return next, err
	case p.kept.Revision != base:
		return next, facings.ErrConflict
	case m.full:
		return next, facings.ErrFull
	}
	next.Number, next.Parent, next.At = len(p.revisions)+1, base, m.now()
	if next.Files == nil {
		next.Files = p.revisions[base-1].Files
	}
	p.revisions = append(p.revisions, next)
	delete(p.redo, next.Number)
	p.go_(next.Number)
	if name != "" {
		p.kept.Name = name
	}
	return next, nil
}

func (p *memoryProject) go_(number int) {
	p.kept.Revision = number
	p.kept.CanUndo = p.revisions[number-1].Parent > 0
	_, p.kept.CanRedo = p.redo[number]
}

func (m *memory) Undo(_ context.Context, id string, base int) (facings.Revision, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, err := m.find(id)
	switch {
	case err != nil:
		return facings.Revision{}, err
	case p.kept.Revision != base:
		return facings.Revision{}, facings.ErrConflict
	case !p.kept.CanUndo:
		return facings.Revision{}, facings.ErrNotFound
	}
	parent := p.revisions[base-1].Parent
	p.redo[parent] = base
	p.go_(parent)
	return p.revisions[parent-1], nil
}

func (m *memory) Redo(_ context.Context, id string, base int) (facings.Revision, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, err := m.find(id)
	switch {
	case err != nil:
		return facings.Revision{}, err
	case p.kept.Revision != base:
		return facings.Revision{}, facings.ErrConflict
	case !p.kept.CanRedo:
		return facings.Revision{}, facings.ErrNotFound
	}
	child := p.redo[base]
	p.go_(child)
	return p.revisions[child-1], nil
}

func (m *memory) PutFile(_ context.Context, _ string, r io.Reader) (string, int64, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return "", 0, err
	}
	sum := sha256.Sum256(data)
	hash := hex.EncodeToString(sum[:])
	m.mu.Lock()
	defer m.mu.Unlock()
	m.files[hash] = data
	return hash, int64(len(data)), nil
}

type memoryFile struct{ *bytes.Reader }

func (memoryFile) Close() error { return nil }

func (m *memory) File(_ context.Context, _, hash string) (io.ReadSeekCloser, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	data, ok := m.files[hash]
	if !ok {
		return nil, facings.ErrNotFound
	}
	return memoryFile{bytes.NewReader(data)}, nil
}

func (m *memory) Append(_ context.Context, id string, entries []facings.Entry) ([]facings.Entry, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, err := m.find(id)
	if err != nil {
		return nil, err
	}
	if m.full {
		return nil, facings.ErrFull
	}
	var out []facings.Entry
	for _, e := range entries {
		if i := slices.IndexFunc(p.log, func(o facings.Entry) bool { return o.ID == e.ID }); i >= 0 {
			out = append(out, p.log[i])
			continue
		}
		e.Seq, e.Kept = int64(len(p.log)+1), m.now()
		p.log = append(p.log, e)
		out = append(out, e)
	}
	return out, nil
}

func (m *memory) Log(_ context.Context, id string, after int64) ([]facings.Entry, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, err := m.find(id)
	if err != nil {
		return nil, err
	}
	var out []facings.Entry
	for _, e := range p.log {
		if e.Seq > after {
			out = append(out, e)
		}
	}
	return out, nil
}

func (m *memory) Remember(_ context.Context, key string, value []byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if value == nil {
		delete(m.values, key)
	} else {
		m.values[key] = bytes.Clone(value)
	}
	return nil
}

func (m *memory) Recall(_ context.Context, prefix string) (map[string][]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := map[string][]byte{}
	for k, v := range m.values {
		if strings.HasPrefix(k, prefix) {
			out[k] = v
		}
	}
	return out, nil
}

func (m *memory) Backup(context.Context, string) error          { return nil }
func (m *memory) LastBackup(context.Context) (time.Time, error) { return time.Time{}, nil }
func (m *memory) Close() error                                  { return nil }
