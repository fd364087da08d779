-- What a person does in Neovim, one step after the other, on the files of the test's workspace; Neovim runs it after start-up. What was
-- seen goes to $AFTERCLAP_SEEN as JSON; the test judges it. Written for 0.7.2: calls that later versions renamed are avoided.

local seen = {}
local patience_ms = 15000

local function await(what, is_met)
  if not vim.wait(patience_ms, is_met, 20) then error('waited in vain for ' .. what) end
end

local function text() return table.concat(vim.api.nvim_buf_get_lines(0, 0, -1, false), '\n') end

local function codes()
  return vim.tbl_map(function(found) return found.code end, vim.diagnostic.get(0))
end

local function diagnostics()
  return vim.tbl_map(function(found)
    local lines = vim.api.nvim_buf_get_text(0, found.lnum, found.col, found.end_lnum, found.end_col, {})
    return { code = found.code, text = table.concat(lines, '\n'), message = found.message, source = found.source }
  end, vim.diagnostic.get(0))
end

local function open(name)
  vim.cmd('edit! ' .. vim.fn.fnameescape(name))
  await('findings of ' .. name, function() return #vim.diagnostic.get(0) > 0 end)
end

local function go_to_finding(at)
  local found = vim.diagnostic.get(0)[at]
  vim.api.nvim_win_set_cursor(0, { found.lnum + 1, found.col })
end

-- The key of the page, with the menu answered by the first entry.
local function fix()
  local before = text()
  vim.ui.select = function(items, options, choose)
    seen.menu = seen.menu or vim.tbl_map(options.format_item, items)
    choose(items[1])
  end
  vim.cmd('normal gra')
  await('the fix', function() return text() ~= before end)
end

local function hover()
  local windows = #vim.api.nvim_list_wins()
  vim.cmd('normal K')
  await('the hover', function() return #vim.api.nvim_list_wins() > windows end)
  for _, window in ipairs(vim.api.nvim_list_wins()) do
    if vim.api.nvim_win_get_config(window).relative ~= '' then
      local lines = vim.api.nvim_buf_get_lines(vim.api.nvim_win_get_buf(window), 0, -1, false)
      vim.api.nvim_win_close(window, true)
      return table.concat(lines, '\n')
    end
  end
end

local function run()
  for _, name in ipairs({ 'interview.otio', 'interview.timeline.xml', 'interview.edl' }) do
    open(name)
    seen[name] = diagnostics()
  end

  go_to_finding(1)
  seen.hover = hover()
  fix()
  seen.fixed = text()
  await('findings of the fixed text', function() return #codes() == 1 end)
  seen.codes_when_fixed = codes()

  -- Another program writes the report; saving the timeline has it looked at.
  local report = table.concat(vim.fn.readfile('day1.alignment.json'), '\n')
  vim.fn.writefile(vim.split(report:gsub('"sample": 264264', '"sample": 262262'), '\n'), 'day1.alignment.json')
  vim.cmd('write')
  await('findings by the new report', function() return #codes() == 4 end)
  seen.codes_by_new_report = codes()
  vim.fn.writefile(vim.split(report, '\n'), 'day1.alignment.json')
  vim.cmd('write')
  await('findings by the old report', function() return #codes() == 1 end)

  open('wide.otio')
  seen.wide = diagnostics()
  go_to_finding(1)
  fix()
  seen.wide_fixed = text()
  vim.cmd('edit!')

  open('interview.otio')
  go_to_finding(1)
  vim.lsp.buf.definition()
  await('the definition', function() return vim.fn.expand('%:t') == 'day1.alignment.json' end)
  seen.definition = vim.api.nvim_get_current_line()

  open('interview.otio')
  go_to_finding(1)
  vim.lsp.buf.references()
  await('the references', function() return #vim.fn.getqflist() > 0 end)
  seen.references = #vim.fn.getqflist()
  vim.cmd('cclose')

  open('interview.otio')
  vim.lsp.buf.document_symbol()
  local is_outline = function() return vim.fn.getqflist({ title = 0 }).title:match('Symbols') ~= nil end
  await('the outline', is_outline)
  seen.outline = vim.tbl_map(function(entry) return entry.text end, vim.fn.getqflist())
  vim.cmd('cclose')

  open('interview.otio')
  vim.fn.search('DECK_0001')
  vim.lsp.buf.rename('DECK_0099.wav')
  await('the new name', function() return text():match('DECK_0099') ~= nil end)
  seen.renamed = {}
  for _, buffer in ipairs(vim.api.nvim_list_bufs()) do
    local all = table.concat(vim.api.nvim_buf_get_lines(buffer, 0, -1, false), '\n')
    if all:match('DECK_0099') then table.insert(seen.renamed, vim.fn.fnamemodify(vim.api.nvim_buf_get_name(buffer), ':t')) end
  end
  table.sort(seen.renamed)

  seen.servers = #vim.lsp.get_active_clients()
  for _, client in ipairs(vim.lsp.get_active_clients()) do
    client.config.on_exit = function(code) seen.exit_code = code end
    client.stop()
  end
  await('the end of the server', function() return seen.exit_code ~= nil end)
end

local is_done, problem = pcall(run)
if not is_done then seen.problem = problem end
vim.fn.writefile({ vim.json.encode(seen) }, vim.env.AFTERCLAP_SEEN)
vim.cmd('qall!')
