package languageserver

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
	"sync"

	"github.com/sourcegraph/jsonrpc2"
)

// mostMessage is how many bytes a message may have: the largest file that is
// read, escaped.
const mostMessage = 64 << 20

// stream frames messages as the base protocol asks for: a header with
// Content-Length, an empty line, and as many bytes of JSON. The codec of the
// library ends the connection at the first message that is no JSON, and reads as
// many bytes as the header says. Here such a message is answered with an error
// and passed over, so that nothing an editor sends ends the server.
type stream struct {
	in    *bufio.Reader
	out   io.Writer
	close func() error

	mu sync.Mutex // over out
}

func newStream(in io.Reader, out io.Writer, close func() error) *stream {
	return &stream{in: bufio.NewReader(in), out: out, close: close}
}

// Close implements jsonrpc2.ObjectStream.
func (s *stream) Close() error { return s.close() }

// WriteObject implements jsonrpc2.ObjectStream.
func (s *stream) WriteObject(v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	_, err = fmt.Fprintf(s.out, "Content-Length: %d\r\n\r\n%s", len(body), body)
	return err
}

// ReadObject implements jsonrpc2.ObjectStream: it reads the next message that
// is one.
func (s *stream) ReadObject(v any) error {
	for {
		body, err := s.next()
		if err != nil {
			return err
		}
		fault := json.Unmarshal(body, v)
		if fault == nil {
			return nil
		}
		reflect.ValueOf(v).Elem().SetZero() // of what was read before the fault
		if err := s.refuse(body, fault); err != nil {
			return err
		}
	}
}

// next reads a message of the right size.
func (s *stream) next() ([]byte, error) {
	for {
		size, err := s.header()
		switch {
		case err != nil:
			return nil, err
		case size <= mostMessage:
			body := make([]byte, size)
			_, err := io.ReadFull(s.in, body)
			return body, err
		}
		fault := fmt.Errorf("the message has more than %d MiB", mostMessage>>20)
		if size > mostPassedOver {
			fault = errHeader // and what follows is looked through for the next
		} else if _, err := io.CopyN(io.Discard, s.in, size); err != nil {
			return nil, err
		}
		if err := s.refuse(nil, fault); err != nil {
			return nil, err
		}
	}
}

// mostPassedOver is how many bytes are passed over because a header says so.
const mostPassedOver = 1 << 30

var errHeader = errors.New("the header tells no size of the message: Content-Length is the number of its bytes")

// header reads lines up to the empty one behind a header that tells the size;
// what does not belong to one is passed over. Behind a header that tells none a
// message of an unknown size follows, without an end of line: the next header
// begins within a line.
func (s *stream) header() (size int64, err error) {
	wrong := false
	for size = -1; ; {
		line, err := s.in.ReadSlice('\n')
		long := errors.Is(err, bufio.ErrBufferFull)
		if err != nil && !long {
			return 0, err
		}
		text := strings.TrimRight(string(line), "\r\n")
		if i := strings.LastIndex(strings.ToLower(text), contentLength); i >= 0 {
			text = text[i:]
		}
		name, value, _ := strings.Cut(text, ":")
		switch n, err := strconv.ParseInt(strings.TrimSpace(value), 10, 64); {
		case long: // no header has such a line
		case text == "" && size >= 0:
			return size, nil
		case text == "" && wrong:
			if err := s.refuse(nil, errHeader); err != nil {
				return 0, err
			}
			wrong = false
		case strings.EqualFold(name, contentLength):
			if size = n; err != nil || n < 0 {
				size, wrong = -1, true
			}
		}
	}
}

const contentLength = "content-length"

// refuse answers a message that is none.
func (s *stream) refuse(body []byte, why error) error {
	answer := struct {
		Version string          `json:"jsonrpc"`
		ID      json.RawMessage `json:"id"`
		Error   jsonrpc2.Error  `json:"error"`
	}{"2.0", json.RawMessage("null"), jsonrpc2.Error{Code: jsonrpc2.CodeInvalidRequest, Message: "this is no message of JSON-RPC 2.0"}}
	var asked struct {
		ID json.RawMessage `json:"id"`
	}
	switch {
	case body == nil:
		answer.Error.Message = why.Error()
		if errors.Is(why, errHeader) {
			answer.Error.Code = jsonrpc2.CodeParseError
		}
	case !json.Valid(body):
		answer.Error = jsonrpc2.Error{Code: jsonrpc2.CodeParseError, Message: "the message is no JSON: " + why.Error()}
	case json.Unmarshal(body, &asked) == nil && len(asked.ID) > 0:
		answer.ID = asked.ID
	}
	return s.WriteObject(answer)
}
