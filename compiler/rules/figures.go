package rules

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"regexp"
	"strings"

	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

const (
	// maxFigureBytes and maxFigurePixels bound what a document can carry and a
	// renderer can hold in memory.
	maxFigureBytes  = 20 << 20
	maxFigurePixels = 40_000_000
	// maxLinks is how many symbolic links are followed on the way to a file.
	maxLinks = 16
)

// CheckFigures judges the files of all figures; fsys is the library's folder.
// Links are followed as long as they stay in it. A file is read only where it
// is a plain one and not too large.
func CheckFigures(lib *library.Library, fsys fs.FS) []*message.Message {
	c := newChecker(lib)
	for _, f := range lib.Figures {
		if f.Broken || f.File == "" {
			continue
		}
		if err := judgeFile(fsys, f.File); err != nil {
			m := c.wrong("BP206", f.FileSpan, "%v", err)
			m.Helped("%s", err.help)
			if errors.Is(err.cause, fs.ErrNotExist) {
				offerFile(m, fsys, f.File, f.FileSpan)
			}
		}
	}
	return c.messages
}

// A fileFault says what is wrong with a file and what to do.
type fileFault struct {
	text, help string
	cause      error
}

func (f *fileFault) Error() string { return f.text }

// Help says what to do.
func (f *fileFault) Help() string { return f.help }

func fault(help, format string, args ...any) *fileFault {
	return &fileFault{text: fmt.Sprintf(format, args...), help: help}
}

const (
	helpPicture = "write the path from the library's folder, with /: figures/seat.svg"
	helpFormat  = "save it as SVG, PNG or JPEG"
)

var drive = regexp.MustCompile(`^[A-Za-z]:`)

// judgeFile judges the file that a figure names.
func judgeFile(fsys fs.FS, name string) *fileFault {
	data, bad := readFile(fsys, name, "picture", "figure", maxFigureBytes)
	if bad != nil {
		return bad
	}
	if bad := judgePicture(data); bad != nil {
		bad.text = quoted(name) + " " + bad.text
		return bad
	}
	return nil
}

// ReadFile reads a file that the sources name, as the files of figures are read:
// what lies outside the library's folder is never opened, links are followed as
// long as they stay in it, and no more than most bytes are read. What is the word
// for the file in messages.
func ReadFile(fsys fs.FS, name, what string, most int64) ([]byte, *fileFault) {
	return readFile(fsys, name, what, what, most)
}

// OfferFile adds the nearest name of a file where one is not there.
func OfferFile(m *message.Message, fsys fs.FS, name string, at source.Span, bad *fileFault) {
	if errors.Is(bad.cause, fs.ErrNotExist) {
		offerFile(m, fsys, name, at)
	}
}

func readFile(fsys fs.FS, name, what, of string, most int64) ([]byte, *fileFault) {
	helpPath, helpFormat := helpPicture, helpFormat
	if what != "picture" {
		helpPath, helpFormat = "write the path from the library's folder, with /", "put the "+what+" itself there"
	}
	switch {
	case strings.Contains(name, "://"):
		return nil, fault("save the "+what+" in the library's folder", "%s is a web address, not a file of the library", quoted(name))
	case strings.Contains(name, `\`):
		return nil, fault(helpPath, "%s is not written with /", quoted(name))
	case strings.HasPrefix(name, "/"), strings.HasPrefix(name, "~"), drive.MatchString(name):
		return nil, fault(helpPath, "%s lies outside the library's folder", quoted(name))
	}
	clean := path.Clean(name)
	if clean == ".." || strings.HasPrefix(clean, "../") {
		return nil, fault("put the file into the library's folder", "%s lies outside the library's folder", quoted(name))
	}
	if !fs.ValidPath(clean) || strings.ContainsRune(clean, 0) {
		return nil, fault(helpPath, "%s is no path of a file", quoted(name))
	}
	real, info, bad := resolve(fsys, clean)
	if bad != nil {
		if bad.help == helpPicture {
			bad.help = helpPath
		}
		return nil, bad
	}
	switch mode := info.Mode(); {
	case mode.IsDir():
		return nil, fault("name a file in it", "%s is a folder, not a %s", quoted(name), what)
	case !mode.IsRegular():
		return nil, fault(helpFormat, "%s is no plain file", quoted(name))
	case info.Size() > most:
		return nil, fault("make it smaller", "%s has %d MB; a %s may have %d MB", quoted(name), (info.Size()+1<<20-1)>>20, of, most>>20)
	case info.Size() == 0:
		return nil, fault(helpFormat, "%s is empty", quoted(name))
	}
	data, err := readBounded(fsys, real, most)
	if err != nil {
		return nil, fault("see that the file can be read", "%s cannot be read: %s", quoted(name), reason(err))
	}
	if int64(len(data)) > most {
		return nil, fault("make it smaller", "%s is over %d MB, the most a %s may have", quoted(name), most>>20, of)
	}
	return data, nil
}

// readBounded reads at most one byte more than a file may have.
func readBounded(fsys fs.FS, name string, most int64) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, most+1))
}

// reason is an error without the path that the message already names.
func reason(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return err.Error()
}

// resolve follows the links on the way to a file, by hand: what lies outside
// the folder is never opened.
func resolve(fsys fs.FS, name string) (real string, info fs.FileInfo, bad *fileFault) {
	links := 0
	rest := strings.Split(name, "/")
	at := "."
	for len(rest) > 0 {
		part := rest[0]
		rest = rest[1:]
		switch part {
		case "", ".":
			continue
		case "..":
			if at == "." {
				return "", nil, fault("put the file itself into the library's folder", "%s leads outside the library's folder", quoted(name))
			}
			at = path.Dir(at)
			continue
		}
		next := path.Join(at, part)
		var err error
		if info, err = fs.Lstat(fsys, next); err != nil {
			if errors.Is(err, fs.ErrNotExist) {
				f := fault(helpPicture, "there is no file %s in the library's folder", quoted(name))
				f.cause = fs.ErrNotExist
				return "", nil, f
			}
			return "", nil, fault("see that the file can be read", "%s cannot be read: %s", quoted(name), reason(err))
		}
		if info.Mode()&fs.ModeSymlink == 0 {
			at = next
			continue
		}
		if links++; links > maxLinks {
			return "", nil, fault("put the file itself there", "%s is a link that leads in a circle", quoted(name))
		}
		to, err := fs.ReadLink(fsys, next)
		if err != nil {
			return "", nil, fault("put the file itself there", "%s is a link that cannot be read: %s", quoted(name), reason(err))
		}
		if path.IsAbs(to) || strings.Contains(to, `\`) || drive.MatchString(to) {
			return "", nil, fault("put the file itself into the library's folder", "%s is a link that leads outside the library's folder", quoted(name))
		}
		rest = append(strings.Split(to, "/"), rest...)
	}
	if info == nil || at == "." {
		info, err := fs.Stat(fsys, ".")
		if err != nil {
			return "", nil, fault(helpPicture, "%s cannot be read: %s", quoted(name), reason(err))
		}
		return ".", info, nil
	}
	info, err := fs.Lstat(fsys, at)
	if err != nil {
		return "", nil, fault("see that the file can be read", "%s cannot be read: %s", quoted(name), reason(err))
	}
	return at, info, nil
}

// offerFile offers the file whose name is nearest, in the same folder.
func offerFile(m *message.Message, fsys fs.FS, file string, at source.Span) {
	dir := path.Dir(path.Clean(file))
	list, err := fs.ReadDir(fsys, dir)
	if err != nil {
		return
	}
	const most = 2000
	var names []string
	for i, e := range list {
		if i < most && !e.IsDir() {
			names = append(names, e.Name())
		}
	}
	near := message.Nearest(path.Base(file), names)
	if len(near) == 0 {
		return
	}
	mend := path.Join(dir, near[0])
	m.Helped("did you mean %s?", quoted(mend))
	if len(near) == 1 && at.End-at.Start >= 2 && !strings.ContainsAny(mend, `"\`) {
		m.Mend(source.Span{File: at.File, Start: at.Start + 1, End: at.End - 1}, mend)
	}
}
