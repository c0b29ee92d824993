-- What a person does in Neovim, done by a script: each step writes what came of
-- it to standard output. Run as: nvim --headless --clean -c "luafile talk.lua".

local out = {}
local function say(...)
  local words = {}
  for i = 1, select('#', ...) do words[#words + 1] = tostring(select(i, ...)) end
  out[#out + 1] = table.concat(words, ' ')
end

local function done()
  local f = assert(io.open(vim.env.OUT, 'w'))
  f:write(table.concat(out, '\n') .. '\n')
  f:close()
  vim.cmd('qall!')
end

local function wait(what, f)
  if not vim.wait(30000, f, 10) then
    say('waited in vain for', what)
    done()
  end
end

local function find(text)
  for i, line in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do
    local at = line:find(text, 1, true)
    if at then return i, at - 1, line end
  end
  say('there is no', text)
  done()
end

local function go(text, more)
  local line, col = find(text)
  vim.api.nvim_win_set_cursor(0, { line, col + (more or 0) })
end

local function replace(from, to)
  local line, col = find(from)
  vim.api.nvim_buf_set_text(0, line - 1, col, line - 1, col + #from, { to })
end

local function ask(method, params)
  local replies, err = vim.lsp.buf_request_sync(0, method, params or vim.lsp.util.make_position_params(), 30000)
  if err then say(method, 'fails:', err) return nil end
  for _, reply in pairs(replies) do
    if reply.error then say(method, 'is refused:', reply.error.message) return nil end
    return reply.result
  end
end

local function messages()
  local list = vim.diagnostic.get(0)
  table.sort(list, function(a, b) return a.lnum < b.lnum end)
  for _, d in ipairs(list) do
    say('message', d.lnum + 1 .. ':' .. d.col + 1 .. '-' .. d.end_col + 1, d.code, (d.message:gsub('\n', ' | ')))
  end
  say(#list, 'messages')
end

vim.cmd('edit ' .. vim.fn.fnameescape(vim.env.LIBRARY .. '/repack.proc'))
local id = vim.lsp.start_client({ name = 'benchproof', cmd = { vim.env.BENCHPROOF, 'lsp' }, root_dir = vim.env.LIBRARY })
vim.lsp.buf_attach_client(0, id)
wait('the server', function()
  local c = vim.lsp.get_client_by_id(id)
  return c and c.initialized
end)
say('server', vim.lsp.get_client_by_id(id).server_capabilities.hoverProvider)

say('# a slip, and its mend')
replace('use     gland-spanner', 'use     gland-spaner')
wait('a message', function() return #vim.diagnostic.get(0) > 0 end)
messages()
go('gland-spaner')
local params = vim.lsp.util.make_range_params()
params.context = { diagnostics = {} }
local action = ask('textDocument/codeAction', params)[1]
say('mend', action.title)
vim.lsp.util.apply_workspace_edit(action.edit, 'utf-16')
wait('no message', function() return #vim.diagnostic.get(0) == 0 end)
say(select(3, find('use     gland')))

say('# behind characters that are two code units long')
replace('wird neu gepackt', '😀😀 wird neu gepackt')
replace('Slacken the', 'Slacken 😀 the')
go('@gland-spanner', 4)
say((ask('textDocument/hover').contents.value:gsub('\n+', ' | ')))

say('# going to the definition')
local places = ask('textDocument/definition')
say(vim.fn.fnamemodify(vim.uri_to_fname(places[1].uri), ':t'), places[1].range.start.line + 1)

say('# proposals')
vim.api.nvim_buf_set_lines(0, find('use     gland-spanner'), find('use     gland-spanner'), false, { '      verify power locked-off with ' })
go('verify power locked-off with ', #'verify power locked-off with ')
vim.api.nvim_win_set_cursor(0, { (find('verify power')), #'      verify power locked-off with ' })
vim.cmd('startinsert!')
local list = ask('textDocument/completion')
table.sort(list.items, function(a, b) return a.sortText < b.sortText end)
for _, item in ipairs(list.items) do say('proposal', item.label, item.detail) end
vim.cmd('stopinsert')
vim.api.nvim_buf_set_lines(0, find('verify power') - 1, find('verify power'), false, {})

say('# renaming in both files')
go('@gland-spanner', 4)
vim.lsp.buf.rename('gland-key')
wait('the new name', function() return vim.fn.search('gland-key', 'nw') > 0 end)
say((select(3, find('@gland-key'))))
say(select(3, find('use     gland-key')))
vim.cmd('buffer bench.proc')
say(select(3, find('gland-key')))
vim.cmd('buffer repack.proc')

say('# laying out')
replace('  document  "WI-0301"', ' document   "WI-0301"')
vim.lsp.buf.formatting_sync({ tabSize = 2, insertSpaces = true }, 30000)
say(select(3, find('document')))

say('# outline')
for _, item in ipairs(vim.lsp.util.symbols_to_items(ask('textDocument/documentSymbol', { textDocument = vim.lsp.util.make_text_document_params() }), 0)) do
  if item.kind ~= 'Key' then say(item.lnum, item.text) end
end

say('# nothing is wrong at the end')
wait('no message', function() return #vim.diagnostic.get(0) == 0 end)
messages()
vim.lsp.stop_client(id)
wait('the end', function() return vim.lsp.get_client_by_id(id) == nil or vim.lsp.get_client_by_id(id).is_stopped() end)
say('stopped')
done()
