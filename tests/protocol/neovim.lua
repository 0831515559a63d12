-- Drives the built server with Neovim's own client: findings, a hover, a fix, a new name. Prints one line of JSON.
local uri_file = vim.env.PLUGWARD_PLAN
vim.o.swapfile = false
vim.cmd('edit ' .. vim.fn.fnameescape(uri_file))
local buffer = vim.api.nvim_get_current_buf()
local client = vim.lsp.start_client({
  name = 'plugward',
  cmd = { vim.env.PLUGWARD_NODE, vim.env.PLUGWARD_SERVER, '--stdio' },
  root_dir = vim.fn.fnamemodify(uri_file, ':h'),
})
vim.lsp.buf_attach_client(buffer, client)

local function settle(check)
  return vim.wait(20000, check, 20)
end
local function find(finding)
  for _, one in ipairs(vim.diagnostic.get(buffer)) do
    if one.code == finding then return one end
  end
end
local function ask(method, params)
  local answers, failed = vim.lsp.buf_request_sync(buffer, method, params, 20000)
  local answer = answers and answers[client]
  return answer and answer.result, failed or (answer and answer.err)
end
local function text()
  return table.concat(vim.api.nvim_buf_get_lines(buffer, 0, -1, false), '\n')
end
local function encoding()
  return vim.lsp.get_client_by_id(client).offset_encoding
end

local report = {}
settle(function() return find('bare-connector') ~= nil end)
local bare = find('bare-connector')
report.finding = bare and { line = bare.lnum, message = bare.message }

vim.api.nvim_win_set_cursor(0, { 7, 47 })
local hover, hover_failed = ask('textDocument/hover', vim.lsp.util.make_position_params(0, encoding()))
report.hover = hover and hover.contents.value or tostring(hover_failed)

local range = { start = { line = 6, character = 0 }, ['end'] = { line = 6, character = 60 } }
local actions = ask('textDocument/codeAction', {
  textDocument = vim.lsp.util.make_text_document_params(buffer),
  range = range,
  context = { diagnostics = {}, only = { 'quickfix' } },
})
for _, action in ipairs(actions or {}) do
  if action.edit and action.title:match('^Cover lamp') then
    report.fix = action.title
    vim.lsp.util.apply_workspace_edit(action.edit, encoding())
    break
  end
end
report.fixed = settle(function() return find('bare-connector') == nil end)

local position = vim.lsp.util.make_position_params(0, encoding())
local edit, rename_failed = ask('textDocument/rename', {
  textDocument = position.textDocument,
  position = { line = 6, character = 47 },
  newName = 'tail-lamp',
})
if edit then vim.lsp.util.apply_workspace_edit(edit, encoding()) end
report.rename_failed = rename_failed and tostring(rename_failed) or nil
report.text = text()

vim.lsp.stop_client(client)
settle(function() return vim.lsp.client_is_stopped(client) end)
io.stdout:write('REPORT ' .. vim.fn.json_encode(report) .. '\n')
vim.cmd('qall!')
