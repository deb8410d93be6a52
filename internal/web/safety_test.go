package web

import (
	"bufio"
	"context"
	"io"
	"io/fs"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

func TestOtherSitesAndNamesAreRefused(t *testing.T) {
	h := newHost(t)
	body := `{"from":"starter"}`
	h.want(403, nil, "POST", "/api/projects", body, "Origin", "https://example.org")
	h.want(403, nil, "POST", "/api/projects", body, "Sec-Fetch-Site", "cross-site")
	h.want(201, nil, "POST", "/api/projects", body, "Origin", h.http.URL, "Sec-Fetch-Site", "same-origin")
	// A name that was made to point here is not ours (DNS rebinding).
	for _, host := range []string{"example.org", "127.0.0.1.example.org:4380", "192.0.2.7", ""} {
		if host == "" {
			continue
		}
		h.want(421, nil, "GET", "/api/about", nil, "Host", host)
	}
	h.want(200, nil, "GET", "/api/about", nil, "Host", "127.0.0.1:9")
}

func TestPagesLoadNothingFromOutside(t *testing.T) {
	h := newHost(t)
	for _, path := range []string{"/", "/p/p1/bench", "/api/about"} {
		res, data := h.call("GET", path, nil)
		policy := res.Header.Get("Content-Security-Policy")
		if res.StatusCode != 200 || !strings.Contains(policy, "default-src 'self'") || strings.Contains(policy, "unsafe") ||
			!strings.Contains(policy, "frame-ancestors 'none'") || res.Header.Get("X-Content-Type-Options") != "nosniff" ||
			res.Header.Get("Referrer-Policy") != "no-referrer" {
			t.Errorf("%s: %s, %v", path, res.Status, res.Header)
		}
		if strings.Contains(string(data), "http://") || strings.Contains(string(data), "https://") {
			t.Errorf("%s names an address outside", path)
		}
	}
	page, err := fs.ReadFile(dist, "dist/index.html")
	if err != nil {
		t.Fatal(err)
	}
	for _, script := range regexp.MustCompile(`(?is)<script[^>]*>(.*?)</script>`).FindAllSubmatch(page, -1) {
		if strings.TrimSpace(string(script[1])) != "" {
			t.Errorf("index.html has a script of its own, which the policy forbids: %s", script[0])
		}
	}
	if regexp.MustCompile(`(?i)<style|\sstyle=|\son\w+=`).Match(page) {
		t.Error("index.html has styles or handlers of its own, which the policy forbids")
	}
	h.want(404, nil, "GET", "/assets/none.js", nil)
	h.want(404, nil, "GET", "/api/none", nil)
	h.want(405, nil, "POST", "/p/p1", nil)
}

func TestAnswersAreKeptAndPacked(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	h.planned(head.Kept.ID)
	path := projectPath(head, "plan")
	res, whole := h.call("GET", path, nil)
	tag := res.Header.Get("ETag")
	if tag == "" {
		t.Fatal("no ETag")
	}
	res, data := h.call("GET", path, nil, "If-None-Match", tag)
	if res.StatusCode != 304 || len(data) != 0 {
		t.Errorf("the same again: %s, %d bytes", res.Status, len(data))
	}
	req, _ := http.NewRequest("GET", h.http.URL+path, nil)
	req.Header.Set("Accept-Encoding", "gzip")
	res, err := http.DefaultTransport.RoundTrip(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	packed, _ := io.ReadAll(res.Body)
	if res.Header.Get("Content-Encoding") != "gzip" || len(packed) > len(whole)/2 {
		t.Errorf("packed to %d of %d bytes, %q", len(packed), len(whole), res.Header.Get("Content-Encoding"))
	}
}

func TestBodiesAreBounded(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	big := make([]byte, maxJSONBody+1)
	h.want(413, nil, "PATCH", projectPath(head, ""), big, "If-Match", etag(head))
	h.want(413, nil, "POST", projectPath(head, "log"), make([]byte, maxLogBody+1))
	h.want(413, nil, "PUT", projectPath(head, "text"), make([]byte, 5<<20), "If-Match", etag(head), "Content-Type", "text/plain")
}

// lanHost is the same server as the network sees it, over TLS.
func lanHost(t *testing.T, h *host) (*httptest.Server, *http.Client) {
	h.server.lan = &lanInfo{address: "https://192.0.2.7:4381", fingerprint: "AB:CD"}
	lan := httptest.NewTLSServer(h.server.Handler(true, []string{"127.0.0.1"}))
	t.Cleanup(lan.Close)
	client := lan.Client()
	client.Jar, _ = cookiejar.New(nil)
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return lan, client
}

func status(t *testing.T, c *http.Client, method, address string, form url.Values) (int, string, *http.Response) {
	t.Helper()
	var body io.Reader
	if form != nil {
		body = strings.NewReader(form.Encode())
	}
	req, err := http.NewRequest(method, address, body)
	if err != nil {
		t.Fatal(err)
	}
	if form != nil {
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	res, err := c.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	data, _ := io.ReadAll(res.Body)
	return res.StatusCode, string(data), res
}

func TestDevicesPairOnce(t *testing.T) {
	h := newHost(t)
	lan, client := lanHost(t, h)
	if code, page, _ := status(t, client, "GET", lan.URL+"/", nil); code != 401 || !strings.Contains(page, "not paired") {
		t.Errorf("unpaired page: %d\n%s", code, page)
	}
	for _, path := range []string{"/api/about", "/api/projects", "/assets/x.js"} {
		if code, _, _ := status(t, client, "GET", lan.URL+path, nil); code != 401 {
			t.Errorf("unpaired %s: %d", path, code)
		}
	}
	var pairing Pairing
	h.want(200, &pairing, "POST", "/api/pairing", nil)
	token := strings.TrimPrefix(pairing.Address, "https://192.0.2.7:4381/pair?token=")
	if len(token) != 64 || len(pairing.QR) < 21 || !strings.Contains(pairing.Terminal(), "█") {
		t.Fatalf("pairing: %+v", pairing)
	}
	// Looking at the address does not use it up: programs that preview it do that.
	if code, page, _ := status(t, client, "GET", lan.URL+"/pair?token="+token, nil); code != 200 || !strings.Contains(page, token) {
		t.Errorf("the page to pair on: %d", code)
	}
	code, _, res := status(t, client, "POST", lan.URL+"/pair", url.Values{"token": {token}, "device": {"Ada's phone"}})
	if code != 303 {
		t.Fatalf("pairing: %d", code)
	}
	cookie := res.Cookies()[0]
	if !cookie.Secure || !cookie.HttpOnly || cookie.SameSite != http.SameSiteStrictMode || cookie.Path != "/" {
		t.Errorf("cookie: %+v", cookie)
	}
	for key, value := range h.keeper.values {
		if strings.Contains(key+string(value), cookie.Value) {
			t.Error("the cookie itself is kept, and not only its hash")
		}
	}
	if code, page, _ := status(t, client, "GET", lan.URL+"/api/about", nil); code != 200 || !strings.Contains(page, "Ada's phone") {
		t.Errorf("paired: %d %s", code, page)
	}
	stranger := lan.Client()
	stranger.Jar, _ = cookiejar.New(nil)
	if code, _, _ := status(t, stranger, "POST", lan.URL+"/pair", url.Values{"token": {token}}); code != 403 {
		t.Errorf("the same token twice: %d", code)
	}
	h.want(200, &pairing, "POST", "/api/pairing", nil)
	_, token, _ = strings.Cut(pairing.Address, "token=")
	h.later(tokenLife + time.Second)
	if code, _, _ := status(t, stranger, "POST", lan.URL+"/pair", url.Values{"token": {token}}); code != 403 {
		t.Errorf("an old token: %d", code)
	}
	var devices devicesBody
	h.want(200, &devices, "GET", "/api/devices", nil)
	if len(devices.Devices) != 1 || devices.Devices[0].Name != "Ada's phone" {
		t.Fatalf("devices: %+v", devices)
	}
	h.want(204, nil, "DELETE", "/api/devices/"+devices.Devices[0].ID, nil)
	client.Jar.SetCookies(must(url.Parse(lan.URL)), []*http.Cookie{{Name: cookieName, Value: cookie.Value, Path: "/", Secure: true}})
	if code, _, _ := status(t, client, "GET", lan.URL+"/api/about", nil); code != 401 {
		t.Errorf("a forgotten device: %d", code)
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func TestPairingNeedsTheNetwork(t *testing.T) {
	newHost(t).want(409, nil, "POST", "/api/pairing", nil)
}

func TestCertificateIsKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "c.pem")
	now := time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)
	_, first, err := certificate(file, []string{"192.0.2.7"}, now)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what string
		host string
		at   time.Time
		same bool
	}{
		{"the same again", "192.0.2.7", now.Add(24 * time.Hour), true},
		{"another address", "192.0.2.8", now, false},
		{"a year on", "192.0.2.8", now.AddDate(1, 1, 0), false},
	} {
		cert, print, err := certificate(file, []string{c.host}, c.at)
		if err != nil {
			t.Fatal(err)
		}
		if (print == first) != c.same {
			t.Errorf("%s: same certificate %v, want %v", c.what, print == first, c.same)
		}
		if cert.Leaf.VerifyHostname(c.host) != nil {
			t.Errorf("%s: does not cover its address", c.what)
		}
		first = print
	}
}

func TestEventsTellOfThePlan(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	res, err := http.Get(h.http.URL + projectPath(head, "events"))
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if res.Header.Get("Content-Type") != "text/event-stream" {
		t.Fatalf("type %s", res.Header.Get("Content-Type"))
	}
	lines := make(chan string, 100)
	go func() {
		s := bufio.NewScanner(res.Body)
		for s.Scan() {
			lines <- s.Text()
		}
		close(lines)
	}()
	wait := func(want string) {
		t.Helper()
		end := time.After(30 * time.Second)
		for {
			select {
			case l, ok := <-lines:
				if !ok {
					t.Fatalf("the stream ended before %q", want)
				}
				if strings.Contains(l, want) {
					return
				}
			case <-end:
				t.Fatalf("no %q within 30 s", want)
			}
		}
	}
	wait(": facings")
	h.want(200, nil, "GET", projectPath(head, "plan"), nil)
	wait("event: plan")
	wait(`"state":"ready"`)
	h.want(200, nil, "PATCH", projectPath(head, ""), `[{"op":"replace","path":"/name","value":"Guards"}]`, "If-Match", etag(head))
	wait("event: head")
	wait(`"revision":2`)
}

func TestServeEndsCleanly(t *testing.T) {
	h := newHost(t)
	ctx, stop := context.WithCancel(context.Background())
	ready := make(chan string, 1)
	ended := make(chan error, 1)
	go func() {
		ended <- h.server.Serve(ctx, Options{Addr: "127.0.0.1:0", Out: io.Discard, Ready: func(a string) { ready <- a }})
	}()
	address := <-ready
	head := h.starter()
	res, err := http.Get(address + projectPath(head, "events")) // a stream that would never end by itself
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	stop()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Error("it does not end while a page listens")
	}
	if _, err := http.Get(address); err == nil {
		t.Error("it answers after its end")
	}
	if err := h.server.Serve(context.Background(), Options{Addr: "0.0.0.0:0", Out: io.Discard}); err == nil {
		t.Error("an address that others reach is served")
	}
}
