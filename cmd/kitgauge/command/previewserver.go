package command

import (
	"bytes"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"kitgauge/checker/report/preview"
)

// site serves the page of one kit to whoever has its address.
type site struct {
	look   func(before *looked) (*looked, error)
	token  string
	socket net.Listener

	mu    sync.Mutex // of all below, and of the kit
	shown *looked
	next  chan struct{} // closed when something else is shown
}

func newSite(look func(before *looked) (*looked, error)) *site {
	secret := make([]byte, 32)
	_, _ = rand.Read(secret) // never fails
	return &site{look: look, token: base64.RawURLEncoding.EncodeToString(secret), next: make(chan struct{})}
}

// check looks at the kit, and tells the pages where there is something new.
func (w *site) check() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	now, err := w.look(w.shown)
	if err != nil {
		return err
	}
	if now != w.shown {
		w.shown = now
		close(w.next)
		w.next = make(chan struct{})
	}
	return nil
}

// current is what is shown, and what tells that something else is.
func (w *site) current() (*looked, <-chan struct{}) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.shown, w.next
}

// listen takes a port of this machine alone.
func (w *site) listen() (err error) {
	w.socket, err = net.Listen("tcp4", "127.0.0.1:0")
	return err
}

func (w *site) address() string { return "http://" + w.host() + "/" + w.token + "/" }
func (w *site) host() string    { return w.socket.Addr().String() }

func (w *site) serve() error {
	server := &http.Server{Handler: w, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 1 << 14}
	return server.Serve(w.socket)
}

// ServeHTTP lets through whoever asks this host, from no other page, with the
// secret, and only to read.
func (w *site) ServeHTTP(out http.ResponseWriter, r *http.Request) {
	h := out.Header()
	h.Set("Content-Security-Policy", preview.Policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cache-Control", "no-store")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	token, what, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	switch {
	case r.Host != w.host():
		http.Error(out, "this host is not served", http.StatusForbidden)
	case !w.own(r):
		http.Error(out, "another page may not ask", http.StatusForbidden)
	case subtle.ConstantTimeCompare([]byte(token), []byte(w.token)) != 1:
		http.Error(out, "the address lacks its secret: take the one that kitgauge wrote", http.StatusForbidden)
	case r.Method != http.MethodGet:
		h.Set("Allow", http.MethodGet)
		http.Error(out, "there is only something to read here", http.StatusMethodNotAllowed)
	default:
		w.answer(out, r, what)
	}
}

// own reports whether a request comes from the page itself, or from somebody
// who typed the address.
func (w *site) own(r *http.Request) bool {
	origins := r.Header.Values("Origin")
	for _, o := range origins {
		if o != "http://"+w.host() {
			return false
		}
	}
	for _, from := range r.Header.Values("Sec-Fetch-Site") {
		if from != "same-origin" && from != "none" {
			return false
		}
	}
	return true
}

func (w *site) answer(out http.ResponseWriter, r *http.Request, what string) {
	switch what {
	case "":
		_ = w.check() // whoever asks for the page anew wants to see what is; what is wrong is shown
		write(out, "text/html; charset=utf-8", preview.Page())
	case "page.css":
		write(out, "text/css; charset=utf-8", preview.Style())
	case "page.js":
		write(out, "text/javascript; charset=utf-8", preview.Script())
	case "icon.svg":
		write(out, "image/svg+xml", preview.Icon())
	case "events":
		w.events(out, r)
	case "state", "pose", "figures", "detail":
		w.data(out, r, what)
	default:
		http.NotFound(out, r)
	}
}

func write(out http.ResponseWriter, kind string, text []byte) {
	out.Header().Set("Content-Type", kind)
	out.Header().Set("Content-Length", strconv.Itoa(len(text)))
	_, _ = bytes.NewReader(text).WriteTo(out) // whoever went away needs no answer
}

// data answers what the page asks of the kit. The kit is for one at a time.
func (w *site) data(out http.ResponseWriter, r *http.Request, what string) {
	text, status, err := w.text(r, what)
	if err != nil {
		http.Error(out, err.Error(), status)
		return
	}
	write(out, "application/xml; charset=utf-8", text)
}

func (w *site) text(r *http.Request, what string) (text []byte, status int, err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if r.Context().Err() != nil { // gone while others were answered
		return nil, http.StatusRequestTimeout, r.Context().Err()
	}
	if what == "state" {
		text, err = w.shown.XML()
		return text, http.StatusInternalServerError, err
	}
	asked := r.URL.Query()
	if asked.Get("check") != strconv.Itoa(w.shown.Number) {
		return nil, http.StatusConflict, errNoPicture
	}
	q, err := numbers(asked.Get("q"))
	switch {
	case err != nil:
	case what == "detail":
		text, err = w.shown.Detail(asked.Get("letter"))
	case what == "figures":
		text, err = w.shown.Figures(asked.Get("at"), q)
	default:
		text, err = w.shown.Pose(q)
	}
	return text, http.StatusBadRequest, err
}

// numbers reads how the joints stand.
func numbers(list string) ([]float64, error) {
	if list == "" {
		return nil, nil
	}
	var q []float64
	for _, one := range strings.Split(list, ",") {
		v, err := strconv.ParseFloat(one, 64)
		if err != nil {
			return nil, fmt.Errorf("%q is no number", one)
		}
		q = append(q, v)
	}
	return q, nil
}

// events tells a page which check is shown, now and whenever another is (HTML,
// 9.2, server-sent events).
func (w *site) events(out http.ResponseWriter, r *http.Request) {
	out.Header().Set("Content-Type", "text/event-stream")
	flush := http.NewResponseController(out)
	for {
		shown, next := w.current()
		if _, err := fmt.Fprintf(out, "event: check\ndata: %d\n\n", shown.Number); err != nil {
			return
		}
		if flush.Flush() != nil {
			return
		}
		select {
		case <-next:
		case <-r.Context().Done():
			return
		}
	}
}
