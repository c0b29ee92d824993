package editor

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"

	"go.lsp.dev/jsonrpc2"
)

const (
	// maxFrame is the largest message taken, in bytes. A source file has at most
	// 16 MB, and JSON writes a character in up to six bytes.
	maxFrame = 128 << 20
	// maxHeader is the longest header line.
	maxHeader = 4 << 10
)

// A stream is the protocol's framing: a header with the length, an empty line,
// then the message. A message that is too long or no JSON-RPC gets an error
// reply and is passed over, so that one bad message does not end the
// connection; a header that cannot be read does.
type stream struct {
	in  *bufio.Reader
	out io.Writer
	mu  sync.Mutex // of out
}

func newStream(in io.Reader, out io.Writer) *stream {
	return &stream{in: bufio.NewReaderSize(in, maxHeader), out: out}
}

// Read gives the next message.
func (s *stream) Read(ctx context.Context) (jsonrpc2.Message, int64, error) {
	for {
		if err := ctx.Err(); err != nil {
			return nil, 0, err
		}
		length, err := s.header()
		if err != nil {
			return nil, 0, err
		}
		if length > maxFrame {
			if _, err := io.CopyN(io.Discard, s.in, length); err != nil {
				return nil, 0, cutOff(err)
			}
			if err := s.reject(ctx, jsonrpc2.InvalidRequest, fmt.Sprintf("a message of %d bytes is longer than the %d that are taken", length, maxFrame)); err != nil {
				return nil, 0, err
			}
			continue
		}
		var body bytes.Buffer // grows with what arrives, not with what is announced
		if _, err := io.CopyN(&body, s.in, length); err != nil {
			return nil, 0, cutOff(err)
		}
		m, err := jsonrpc2.DecodeMessage(body.Bytes())
		if err == nil {
			return m, length, nil
		}
		if err := s.reject(ctx, jsonrpc2.ParseError, err.Error()); err != nil {
			return nil, 0, err
		}
	}
}

func cutOff(err error) error {
	if errors.Is(err, io.EOF) {
		return io.ErrUnexpectedEOF
	}
	return err
}

// header reads up to the empty line and gives the length of the message.
func (s *stream) header() (int64, error) {
	length := int64(-1)
	for first := true; ; first = false {
		line, err := s.in.ReadSlice('\n')
		switch {
		case errors.Is(err, io.EOF) && first && len(line) == 0:
			return 0, io.EOF
		case errors.Is(err, bufio.ErrBufferFull):
			return 0, errors.New("a header line is too long")
		case err != nil:
			return 0, cutOff(err)
		}
		text := strings.TrimRight(string(line), "\r\n")
		if text == "" {
			if length < 0 {
				return 0, errors.New("a header without Content-Length")
			}
			return length, nil
		}
		name, value, ok := strings.Cut(text, ":")
		if !ok {
			return 0, fmt.Errorf("%q is no header line", text)
		}
		if strings.EqualFold(strings.TrimSpace(name), "Content-Length") {
			n, err := strconv.ParseInt(strings.TrimSpace(value), 10, 64)
			if err != nil || n < 0 {
				return 0, fmt.Errorf("%q is no length", value)
			}
			length = n
		}
	}
}

// reject answers a message whose id is not known.
func (s *stream) reject(ctx context.Context, code jsonrpc2.Code, why string) error {
	_, err := s.Write(ctx, jsonrpc2.NewResponse(jsonrpc2.ID{}, nil, jsonrpc2.NewError(code, why)))
	return err
}

// Write sends a message.
func (s *stream) Write(ctx context.Context, m jsonrpc2.Message) (int64, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	body, err := jsonrpc2.EncodeMessage(m)
	if err != nil {
		return 0, err
	}
	frame := make([]byte, 0, len(body)+32)
	frame = fmt.Appendf(frame, "Content-Length: %d\r\n\r\n", len(body))
	frame = append(frame, body...)
	s.mu.Lock()
	defer s.mu.Unlock()
	n, err := s.out.Write(frame)
	return int64(n), err
}

// Close closes what can be closed.
func (s *stream) Close() error {
	if c, ok := s.out.(io.Closer); ok {
		return c.Close()
	}
	return nil
}
