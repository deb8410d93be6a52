package web

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	goqr "github.com/piglig/go-qr"

	"facings/internal/app"
)

const (
	cookieName   = "__Host-facings" // the prefix binds it to this host and to TLS
	cookieLife   = 400 * 24 * time.Hour
	tokenLife    = 10 * time.Minute
	mostTokens   = 8
	mostDevices  = 50
	devicePrefix = "device/"
	mostName     = 40 // letters of a device's name
)

// Device is a paired device.
type Device struct {
	ID     string    `json:"id"`
	Name   string    `json:"name"`
	Paired time.Time `json:"paired"`
}

// pairs knows the devices that may come in, and the tokens by which others may
// join. Of cookies and tokens only hashes are held.
type pairs struct {
	keeper app.Keeper
	now    func() time.Time

	mu      sync.Mutex
	tokens  map[string]time.Time // hash to when it ends
	devices map[string]Device    // by hash of the cookie; nil until read
}

func newPairs(k app.Keeper, now func() time.Time) *pairs {
	return &pairs{keeper: k, now: now, tokens: map[string]time.Time{}}
}

func secret() string {
	b := make([]byte, 32)
	rand.Read(b) // never fails: it ends the program instead
	return hex.EncodeToString(b)
}

func hashOf(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}

// token makes a one-time token; the oldest of too many goes.
func (p *pairs) token() (string, time.Time) {
	p.mu.Lock()
	defer p.mu.Unlock()
	now := p.now()
	oldest := ""
	for h, end := range p.tokens {
		if !end.After(now) {
			delete(p.tokens, h)
		} else if oldest == "" || end.Before(p.tokens[oldest]) {
			oldest = h
		}
	}
	if len(p.tokens) >= mostTokens {
		delete(p.tokens, oldest)
	}
	t, end := secret(), now.Add(tokenLife)
	p.tokens[hashOf(t)] = end
	return t, end
}

// spend uses a token up.
func (p *pairs) spend(token string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	h := hashOf(token)
	end, ok := p.tokens[h]
	delete(p.tokens, h)
	return ok && end.After(p.now())
}

// load reads the devices once; the lock is held.
func (p *pairs) load(ctx context.Context) error {
	if p.devices != nil {
		return nil
	}
	kept, err := p.keeper.Recall(ctx, devicePrefix)
	if err != nil {
		return err
	}
	p.devices = map[string]Device{}
	for key, data := range kept {
		var d Device
		if json.Unmarshal(data, &d) == nil {
			p.devices[strings.TrimPrefix(key, devicePrefix)] = d
		}
	}
	return nil
}

// join lets a new device in and returns its cookie's secret.
func (p *pairs) join(ctx context.Context, name string) (string, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := p.load(ctx); err != nil {
		return "", err
	}
	if len(p.devices) >= mostDevices {
		return "", problem(http.StatusConflict, "there are too many paired devices", "forget some of them first")
	}
	s := secret()
	h := hashOf(s)
	d := Device{ID: h[:16], Name: name, Paired: p.now()}
	data, err := json.Marshal(d)
	if err != nil {
		return "", err
	}
	if err := p.keeper.Remember(ctx, devicePrefix+h, data); err != nil {
		return "", err
	}
	p.devices[h] = d
	return s, nil
}

// known finds the device that a request comes from.
func (p *pairs) known(r *http.Request) (string, bool) {
	c, err := r.Cookie(cookieName)
	if err != nil {
		return "", false
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.load(r.Context()) != nil {
		return "", false
	}
	h := hashOf(c.Value)
	for other, d := range p.devices {
		if subtle.ConstantTimeCompare([]byte(other), []byte(h)) == 1 {
			return d.Name, true
		}
	}
	return "", false
}

func (p *pairs) list(ctx context.Context) ([]Device, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := p.load(ctx); err != nil {
		return nil, err
	}
	out := []Device{}
	for _, d := range p.devices {
		out = append(out, d)
	}
	slices.SortFunc(out, func(a, b Device) int { return a.Paired.Compare(b.Paired) })
	return out, nil
}

func (p *pairs) forget(ctx context.Context, id string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := p.load(ctx); err != nil {
		return err
	}
	for h, d := range p.devices {
		if d.ID == id {
			if err := p.keeper.Remember(ctx, devicePrefix+h, nil); err != nil {
				return err
			}
			delete(p.devices, h)
			return nil
		}
	}
	return problem(http.StatusNotFound, "no paired device has this number", "")
}

// Pairing is how another device may join, once.
type Pairing struct {
	Address     string    `json:"address"`
	Until       time.Time `json:"until"`
	QR          [][]bool  `json:"qr" doc:"dark modules, row by row, without a border"`
	Fingerprint string    `json:"fingerprint" doc:"SHA-256 of the certificate, to compare by eye"`
}

func (s *Server) startPairing(context.Context, *struct{}) (*answer[*Pairing], error) {
	p, err := s.Pairing()
	return &answer[*Pairing]{p}, err
}

// Pairing makes a new one-time address.
func (s *Server) Pairing() (*Pairing, error) {
	if s.lan == nil {
		return nil, problem(http.StatusConflict, "the pages are served to this machine only", "start again with: facings serve --lan")
	}
	token, until := s.pairs.token()
	out := &Pairing{Address: s.lan.address + "/pair?token=" + token, Until: until, Fingerprint: s.lan.fingerprint}
	code, err := goqr.EncodeText(out.Address, goqr.Medium)
	if err != nil {
		return nil, err
	}
	for y := range code.Size() {
		row := make([]bool, code.Size())
		for x := range row {
			row[x] = code.Module(x, y)
		}
		out.QR = append(out.QR, row)
	}
	return out, nil
}

// Terminal draws the code with half blocks, light on dark turned round, in a
// quiet border of four modules (ISO/IEC 18004).
func (p *Pairing) Terminal() string {
	const quiet = 4
	n := len(p.QR)
	light := func(x, y int) bool {
		x, y = x-quiet, y-quiet
		return x < 0 || y < 0 || x >= n || y >= n || !p.QR[y][x]
	}
	var b strings.Builder
	for y := 0; y < n+2*quiet; y += 2 {
		for x := range n + 2*quiet {
			top, bottom := light(x, y), y+1 >= n+2*quiet || light(x, y+1)
			b.WriteString(map[[2]bool]string{{true, true}: "█", {true, false}: "▀", {false, true}: "▄", {false, false}: " "}[[2]bool{top, bottom}])
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func (s *Server) pairPage(w http.ResponseWriter, r *http.Request) {
	s.page(w, http.StatusOK, pairView{Token: r.URL.Query().Get("token")})
}

// pair spends the token; only a form sent by a person does that, not the
// preview some program makes of the address.
func (s *Server) pair(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, 4<<10)
	if err := r.ParseForm(); err != nil || !s.pairs.spend(r.PostForm.Get("token")) {
		s.page(w, http.StatusForbidden, pairView{Refused: true})
		return
	}
	name := []rune(strings.TrimSpace(r.PostForm.Get("device")))
	if len(name) == 0 {
		name = []rune("a paired device")
	}
	value, err := s.pairs.join(r.Context(), string(name[:min(len(name), mostName)]))
	if err != nil {
		s.logf("pairing: %v", err)
		s.page(w, http.StatusInternalServerError, pairView{Refused: true})
		return
	}
	http.SetCookie(w, &http.Cookie{Name: cookieName, Value: value, Path: "/", MaxAge: int(cookieLife / time.Second),
		Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// turnAway answers a device that is not paired.
func (s *Server) turnAway(w http.ResponseWriter, r *http.Request) {
	if strings.HasPrefix(r.URL.Path, "/api") {
		writeProblem(w, problem(http.StatusUnauthorized, "this device is not paired", "scan the code that the machine shows under \"another device\""))
		return
	}
	s.page(w, http.StatusUnauthorized, pairView{})
}
