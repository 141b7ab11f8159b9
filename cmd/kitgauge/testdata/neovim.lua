-- What a person does with a kit in Neovim, with the lines of README.md in
-- init.lua and nothing else: open it, type a fault, look at the finding, take the
-- fix.
-- It prints a line for each step, and leaves with a status of 1 where one fails.
local function say(...) io.stdout:write(table.concat({...}, ' '), '\n') end

local function wait(what, is)
  if not vim.wait(tonumber(vim.env.PATIENCE), is, 10) then
    say('in vain:', what)
    vim.cmd('cquit 1')
  end
end

local function found(code)
  for _, d in ipairs(vim.diagnostic.get(0)) do
    if d.code == code then return d end
  end
end

vim.o.swapfile = false
vim.cmd('edit ' .. vim.env.KIT)
local id
wait('a server', function()
  for _, client in pairs(vim.lsp.buf_get_clients(0)) do id = client.id end
  return id and vim.lsp.get_client_by_id(id).initialized
end)
say('speaks', vim.lsp.get_client_by_id(id).offset_encoding)

-- in a line with letters of two bytes and of two units before the value
local line = vim.fn.search('cut_length: 2700 mm')
vim.fn.append(line - 1, '    # gekürzt 👷 für links')
line = line + 1
vim.fn.cursor(line, 17)
vim.api.nvim_feedkeys('ct 2610' .. vim.api.nvim_replace_termcodes('<Esc>', true, false, true), 'ntx', false)
say('typed', vim.trim(vim.fn.getline(line)))
wait('a finding', function() return found('routing/cut-length') end)
local d = found('routing/cut-length')
say('found', d.code, 'at', vim.fn.getline(d.lnum + 1):sub(d.col + 1, d.end_col))
say(vim.split(d.message, '\n')[1])

vim.ui.select = function(items, _, choose)
  for _, it in ipairs(items) do say('offered', it[2].title) end
  choose(items[1], 1)
end
vim.fn.cursor(line, 20)
vim.lsp.buf.code_action()
wait('a fix', function() return vim.fn.getline(line):find('2701') end)
wait('nothing found', function() return #vim.diagnostic.get(0) == 0 end)
say('mended', vim.trim(vim.fn.getline(line)))

vim.lsp.stop_client(id)
wait('the end', function() return vim.lsp.client_is_stopped(id) end)
say('ended')
vim.cmd('qall!')
