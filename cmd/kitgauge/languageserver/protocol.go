package languageserver

import "encoding/json"

// The messages of the Language Server Protocol, version 3.17, as far as they
// are used; the names of the members are those of its specification.

// position is a place of a text: a line and a column, from 0.
type position struct {
	Line      int `json:"line"`
	Character int `json:"character"`
}

// span is a Range: from a place up to another.
type span struct {
	Start position `json:"start"`
	End   position `json:"end"`
}

// touches reports whether two ranges share a place, their ends among it.
func (s span) touches(o span) bool { return !s.End.before(o.Start) && !o.End.before(s.Start) }

func (p position) before(o position) bool {
	return p.Line < o.Line || p.Line == o.Line && p.Character < o.Character
}

type location struct {
	URI   string `json:"uri"`
	Range span   `json:"range"`
}

type documentID struct {
	URI     string `json:"uri"`
	Version *int   `json:"version,omitempty"`
}

type atPlace struct {
	TextDocument documentID `json:"textDocument"`
	Position     position   `json:"position"`
}

// initializeParams is what an editor tells of itself.
type initializeParams struct {
	Capabilities struct {
		General struct {
			PositionEncodings []encoding `json:"positionEncodings"`
		} `json:"general"`
		TextDocument struct {
			PublishDiagnostics struct {
				RelatedInformation     bool `json:"relatedInformation"`
				CodeDescriptionSupport bool `json:"codeDescriptionSupport"`
			} `json:"publishDiagnostics"`
			CodeAction struct {
				LiteralSupport json.RawMessage `json:"codeActionLiteralSupport"`
				ResolveSupport struct {
					Properties []string `json:"properties"`
				} `json:"resolveSupport"`
			} `json:"codeAction"`
			DocumentSymbol struct {
				Hierarchical bool `json:"hierarchicalDocumentSymbolSupport"`
			} `json:"documentSymbol"`
			Completion struct {
				Item struct {
					SnippetSupport bool `json:"snippetSupport"`
				} `json:"completionItem"`
			} `json:"completion"`
		} `json:"textDocument"`
		Workspace struct {
			ApplyEdit     bool `json:"applyEdit"`
			WorkspaceEdit struct {
				DocumentChanges bool `json:"documentChanges"`
			} `json:"workspaceEdit"`
			InlayHint struct {
				RefreshSupport bool `json:"refreshSupport"`
			} `json:"inlayHint"`
		} `json:"workspace"`
	} `json:"capabilities"`
	Options          userOptions `json:"initializationOptions"`
	RootURI          string      `json:"rootUri"`
	Parent           *int        `json:"processId"`
	WorkspaceFolders []struct {
		URI string `json:"uri"`
	} `json:"workspaceFolders"`
}

// userOptions are what a person can set in the editor.
type userOptions struct {
	Figures *bool `json:"figures"` // whether computed figures are shown in the text; nil is true
}

// UnmarshalJSON passes over options of another shape: they are no reason not to
// serve.
func (o *userOptions) UnmarshalJSON(b []byte) error {
	var plain struct {
		Figures any `json:"figures"`
	}
	_ = json.Unmarshal(b, &plain)
	if show, is := plain.Figures.(bool); is {
		o.Figures = &show
	}
	return nil
}

type initializeResult struct {
	Capabilities capabilities `json:"capabilities"`
	ServerInfo   serverInfo   `json:"serverInfo"`
}

type serverInfo struct {
	Name    string `json:"name"`
	Version string `json:"version,omitempty"`
}

type capabilities struct {
	PositionEncoding   encoding          `json:"positionEncoding"`
	TextDocumentSync   syncOptions       `json:"textDocumentSync"`
	CodeActionProvider codeActionOptions `json:"codeActionProvider"`
	ExecuteCommand     commandOptions    `json:"executeCommandProvider"`
	Completion         completionOptions `json:"completionProvider"`
	Hover              bool              `json:"hoverProvider"`
	Definition         bool              `json:"definitionProvider"`
	References         bool              `json:"referencesProvider"`
	DocumentHighlight  bool              `json:"documentHighlightProvider"`
	DocumentSymbol     bool              `json:"documentSymbolProvider"`
	DocumentLink       linkOptions       `json:"documentLinkProvider"`
	FoldingRange       bool              `json:"foldingRangeProvider"`
	InlayHint          bool              `json:"inlayHintProvider"`
	Rename             renameOptions     `json:"renameProvider"`
}

type syncOptions struct {
	OpenClose bool `json:"openClose"`
	Change    int  `json:"change"` // 2: changes come as what differs
	Save      bool `json:"save"`
}

type codeActionOptions struct {
	Kinds   []string `json:"codeActionKinds"`
	Resolve bool     `json:"resolveProvider"`
}

type commandOptions struct {
	Commands []string `json:"commands"`
}

type completionOptions struct {
	Triggers []string `json:"triggerCharacters"`
}

type linkOptions struct {
	Resolve bool `json:"resolveProvider"`
}

type renameOptions struct {
	Prepare bool `json:"prepareProvider"`
}

type didOpenParams struct {
	TextDocument struct {
		URI      string `json:"uri"`
		Language string `json:"languageId"`
		Version  int    `json:"version"`
		Text     string `json:"text"`
	} `json:"textDocument"`
}

type didChangeParams struct {
	TextDocument documentID      `json:"textDocument"`
	Changes      []contentChange `json:"contentChanges"`
}

// contentChange is a range of a text that another takes the place of.
type contentChange struct {
	Range *span  `json:"range"`
	Text  string `json:"text"`
}

type documentParams struct {
	TextDocument documentID `json:"textDocument"`
}

type configurationParams struct {
	Settings struct {
		Kitgauge userOptions `json:"kitgauge"`
	} `json:"settings"`
}

// The severities of a diagnostic.
const (
	severityError = iota + 1
	severityWarning
	severityInformation
	severityHint
)

type diagnostic struct {
	Range           span             `json:"range"`
	Severity        int              `json:"severity"`
	Code            string           `json:"code"`
	CodeDescription *codeDescription `json:"codeDescription,omitempty"`
	Source          string           `json:"source"`
	Message         string           `json:"message"`
	Related         []related        `json:"relatedInformation,omitempty"`
}

type codeDescription struct {
	Href string `json:"href"`
}

type related struct {
	Location location `json:"location"`
	Message  string   `json:"message"`
}

type publishParams struct {
	URI         string       `json:"uri"`
	Version     *int         `json:"version,omitempty"`
	Diagnostics []diagnostic `json:"diagnostics"`
}

type codeActionParams struct {
	TextDocument documentID `json:"textDocument"`
	Range        span       `json:"range"`
	Context      struct {
		Only        []string        `json:"only"`
		Diagnostics json.RawMessage `json:"diagnostics"`
	} `json:"context"`
}

type codeAction struct {
	Title       string          `json:"title"`
	Kind        string          `json:"kind"`
	Diagnostics []diagnostic    `json:"diagnostics,omitempty"`
	Preferred   bool            `json:"isPreferred,omitempty"`
	Edit        *workspaceEdit  `json:"edit,omitempty"`
	Command     *command        `json:"command,omitempty"`
	Data        json.RawMessage `json:"data,omitempty"`
}

type command struct {
	Title     string   `json:"title"`
	Command   string   `json:"command"`
	Arguments []string `json:"arguments"`
}

type executeParams struct {
	Command   string   `json:"command"`
	Arguments []string `json:"arguments"`
}

type workspaceEdit struct {
	Changes         map[string][]textEdit `json:"changes,omitempty"`
	DocumentChanges []documentEdit        `json:"documentChanges,omitempty"`
}

type documentEdit struct {
	TextDocument versionedID `json:"textDocument"`
	Edits        []textEdit  `json:"edits"`
}

// versionedID names a version of a text; null is what the disk holds.
type versionedID struct {
	URI     string `json:"uri"`
	Version *int   `json:"version"`
}

type textEdit struct {
	Range   span   `json:"range"`
	NewText string `json:"newText"`
}

type applyEditParams struct {
	Label string        `json:"label"`
	Edit  workspaceEdit `json:"edit"`
}

type applyEditResult struct {
	Applied bool   `json:"applied"`
	Why     string `json:"failureReason"`
}

type messageParams struct {
	Type    int    `json:"type"` // as the severities
	Message string `json:"message"`
}

type completionList struct {
	Incomplete bool             `json:"isIncomplete"` // it has to be asked for again while one types on
	Items      []completionItem `json:"items"`
}

type completionItem struct {
	Label         string   `json:"label"`
	Kind          int      `json:"kind"`
	Detail        string   `json:"detail,omitempty"`
	Documentation *markup  `json:"documentation,omitempty"`
	SortText      string   `json:"sortText"`
	FilterText    string   `json:"filterText"`
	Format        int      `json:"insertTextFormat"` // 1: as it stands, 2: with the place of the caret
	Edit          textEdit `json:"textEdit"`
}

type markup struct {
	Kind  string `json:"kind"`
	Value string `json:"value"`
}

type hoverResult struct {
	Contents markup `json:"contents"`
	Range    span   `json:"range"`
}

type referenceParams struct {
	atPlace
	Context struct {
		Declaration bool `json:"includeDeclaration"`
	} `json:"context"`
}

type highlight struct {
	Range span `json:"range"`
}

type renameParams struct {
	atPlace
	NewName string `json:"newName"`
}

type renameRange struct {
	Range       span   `json:"range"`
	Placeholder string `json:"placeholder"`
}

type documentSymbol struct {
	Name      string           `json:"name"`
	Detail    string           `json:"detail,omitempty"`
	Kind      int              `json:"kind"`
	Range     span             `json:"range"`
	Selection span             `json:"selectionRange"`
	Children  []documentSymbol `json:"children,omitempty"`
}

type symbolInformation struct {
	Name      string   `json:"name"`
	Kind      int      `json:"kind"`
	Location  location `json:"location"`
	Container string   `json:"containerName,omitempty"`
}

type documentLink struct {
	Range  span   `json:"range"`
	Target string `json:"target"`
}

type foldingRange struct {
	StartLine int    `json:"startLine"`
	EndLine   int    `json:"endLine"`
	Kind      string `json:"kind,omitempty"`
}

type rangeParams struct {
	TextDocument documentID `json:"textDocument"`
	Range        span       `json:"range"`
}

type inlayHint struct {
	Position    position `json:"position"`
	Label       string   `json:"label"`
	Tooltip     *markup  `json:"tooltip,omitempty"`
	PaddingLeft bool     `json:"paddingLeft"`
}
