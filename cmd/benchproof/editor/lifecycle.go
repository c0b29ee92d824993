package editor

import (
	"encoding/json"
	"path/filepath"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"
)

// initializing is what is read of the first request: leniently, since what an
// editor says of itself must not keep it from working.
type initializing struct {
	RootURI          *string `json:"rootUri"`
	RootPath         *string `json:"rootPath"`
	WorkspaceFolders []struct {
		URI string `json:"uri"`
	} `json:"workspaceFolders"`
	Capabilities json.RawMessage `json:"capabilities"`
}

type capabilities struct {
	Workspace struct {
		WorkspaceEdit struct {
			DocumentChanges bool `json:"documentChanges"`
		} `json:"workspaceEdit"`
		DidChangeWatchedFiles struct {
			DynamicRegistration bool `json:"dynamicRegistration"`
		} `json:"didChangeWatchedFiles"`
	} `json:"workspace"`
	TextDocument struct {
		PublishDiagnostics struct {
			RelatedInformation bool `json:"relatedInformation"`
		} `json:"publishDiagnostics"`
		Hover struct {
			ContentFormat []protocol.MarkupKind `json:"contentFormat"`
		} `json:"hover"`
	} `json:"textDocument"`
}

func (s *server) initialize(p *initializing) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.phase != fresh {
		return nil, refused("the server has been initialized already")
	}
	s.phase = running
	var can capabilities
	_ = json.Unmarshal(p.Capabilities, &can) // what cannot be read is not made use of
	s.client = client{
		relatedInformation: can.TextDocument.PublishDiagnostics.RelatedInformation,
		versionedEdits:     can.Workspace.WorkspaceEdit.DocumentChanges,
		watchesFiles:       can.Workspace.DidChangeWatchedFiles.DynamicRegistration,
	}
	for _, kind := range can.TextDocument.Hover.ContentFormat {
		s.client.markdown = s.client.markdown || kind == protocol.Markdown
	}
	for _, f := range p.WorkspaceFolders {
		s.root(f.URI)
	}
	if len(s.roots) == 0 && p.RootURI != nil {
		s.root(*p.RootURI)
	}
	if len(s.roots) == 0 && p.RootPath != nil && filepath.IsAbs(*p.RootPath) {
		s.roots = append(s.roots, filepath.Clean(*p.RootPath))
	}
	return s.offers(), nil
}

func (s *server) root(uri string) {
	if path, ok := pathOf(protocol.DocumentURI(uri)); ok {
		s.roots = append(s.roots, path)
	}
}

// pathOf gives the absolute path of a file's address.
func pathOf(uri protocol.DocumentURI) (string, bool) {
	parsed, err := protocol.ParseDocumentURI(string(uri))
	if err != nil || parsed == "" {
		return "", false
	}
	path, err := parsed.Path()
	if err != nil || !filepath.IsAbs(path) {
		return "", false
	}
	return filepath.Clean(path), true
}

// offers tells the editor what the server can do.
func (s *server) offers() any {
	encoding := protocol.UTF16
	return protocol.InitializeResult{
		ServerInfo: &protocol.ServerInfo{Name: "benchproof", Version: s.options.Version},
		Capabilities: protocol.ServerCapabilities{
			PositionEncoding: &encoding,
			TextDocumentSync: protocol.TextDocumentSyncOptions{
				OpenClose: true, Change: protocol.Incremental, Save: &protocol.SaveOptions{},
			},
			CompletionProvider:         &protocol.CompletionOptions{TriggerCharacters: []string{"@", "."}},
			HoverProvider:              &protocol.Or_ServerCapabilities_hoverProvider{Value: true},
			DefinitionProvider:         &protocol.Or_ServerCapabilities_definitionProvider{Value: true},
			ReferencesProvider:         &protocol.Or_ServerCapabilities_referencesProvider{Value: true},
			DocumentHighlightProvider:  &protocol.Or_ServerCapabilities_documentHighlightProvider{Value: true},
			DocumentSymbolProvider:     &protocol.Or_ServerCapabilities_documentSymbolProvider{Value: true},
			WorkspaceSymbolProvider:    &protocol.Or_ServerCapabilities_workspaceSymbolProvider{Value: true},
			DocumentFormattingProvider: &protocol.Or_ServerCapabilities_documentFormattingProvider{Value: true},
			FoldingRangeProvider:       &protocol.Or_ServerCapabilities_foldingRangeProvider{Value: true},
			InlayHintProvider:          true,
			RenameProvider:             protocol.RenameOptions{PrepareProvider: true},
			CodeActionProvider:         protocol.CodeActionOptions{CodeActionKinds: []protocol.CodeActionKind{protocol.QuickFix}},
			SemanticTokensProvider: protocol.SemanticTokensOptions{
				Legend: protocol.SemanticTokensLegend{TokenTypes: tokenTypes, TokenModifiers: tokenModifiers},
				Full:   &protocol.Or_SemanticTokensOptions_full{Value: true},
			},
		},
	}
}

// initialized asks an editor that can to tell of files changed behind its back.
func (s *server) initialized(*struct{}) (any, error) {
	s.mu.Lock()
	watches := s.client.watchesFiles
	s.mu.Unlock()
	if !watches {
		return nil, nil
	}
	params := protocol.RegistrationParams{Registrations: []protocol.Registration{{
		ID: "files", Method: "workspace/didChangeWatchedFiles",
		RegisterOptions: protocol.DidChangeWatchedFilesRegistrationOptions{Watchers: []protocol.FileSystemWatcher{
			{GlobPattern: protocol.GlobPattern{Value: "**/*.{proc,po,svg,png,jpg,jpeg,csv,tsv,txt,xlsx,xlsm}"}},
		}},
	}}}
	// The reply comes on the stream that this handler keeps from being read.
	go func() { _, _ = s.conn.Call(s.ctx, "client/registerCapability", params, nil) }()
	return nil, nil
}

func (s *server) shutdown(*struct{}) (any, error) {
	s.mu.Lock()
	s.phase = shut
	s.mu.Unlock()
	s.stop()
	return nil, nil
}

func (s *server) end(*struct{}) (any, error) {
	s.mu.Lock()
	if s.phase == shut {
		s.phase = ended
	}
	s.mu.Unlock()
	s.exit()
	return nil, nil
}
