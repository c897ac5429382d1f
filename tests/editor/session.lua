-- A real editor at work on a faulty build: opens a section, waits for what is said of it, asks about a value, takes an offer,
-- saves, and waits until the finding is gone. Run by tests/editor_clients.rs, headless:
--   nvim --headless -u NONE -c 'luafile tests/editor/session.lua'
-- It reads its task from the environment and writes what it saw as JSON.

local program, root, file = vim.env.PROGRAM, vim.env.ROOT, vim.env.FILE
local rule, offer, seen = vim.env.RULE, vim.env.OFFER, {}

local function finish()
  local out = io.open(vim.env.SEEN, 'w')
  out:write(vim.fn.json_encode(seen))
  out:close()
  vim.cmd('qall!')
end

local function worked()
  vim.cmd('edit ' .. vim.fn.fnameescape(file))
  vim.bo.filetype = 'yaml'
  local id = vim.lsp.start_client({ name = 'tramgauge', cmd = { program, 'lsp', '--on', '2026-06-01' }, root_dir = root })
  vim.lsp.buf_attach_client(0, id)

  local function finding()
    for _, diagnostic in ipairs(vim.diagnostic.get(0)) do
      if diagnostic.code == rule then
        return diagnostic
      end
    end
  end

  vim.wait(60000, function() return finding() ~= nil end, 20)
  local found = finding()
  seen.message = found.message
  vim.api.nvim_win_set_cursor(0, { found.lnum + 1, found.col })

  local place = vim.lsp.util.make_position_params(0, 'utf-16')
  local told = vim.lsp.buf_request_sync(0, 'textDocument/hover', place, 60000)
  seen.hover = told[id].result.contents.value

  local range = vim.lsp.util.make_range_params(0, 'utf-16')
  range.context = { diagnostics = {} }
  local offers = vim.lsp.buf_request_sync(0, 'textDocument/codeAction', range, 60000)
  for _, action in ipairs(offers[id].result) do
    if action.title == offer then
      vim.lsp.util.apply_workspace_edit(action.edit, 'utf-16')
      seen.applied = true
    end
  end
  vim.cmd('write')
  seen.gone = vim.wait(60000, function() return finding() == nil end, 20)
end

local fine, trouble = pcall(worked)
seen.trouble = not fine and tostring(trouble) or nil
finish()
