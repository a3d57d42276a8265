// SPDX-License-Identifier: Apache-2.0
#include "screens/season/tag_code.h"

#include <cstdio>

#include "base/text.h"

namespace nthtree::screens {

std::string tag_code(const ledger::Season& season, const std::string& block,
                     const orchard::TreeAddress& tree) {
  const std::string mark = season.block_mark(block);
  return mark.empty() ? "" : base::print("NTHTAG:%s:%d:%d", mark.c_str(), tree.row, tree.tree);
}

TagRead read_tag(const ledger::Season& season, std::string_view text) {
  TagRead read;
  char mark[9] = {};
  int end = 0;
  const std::string whole(text);
  const int parts = std::sscanf(whole.c_str(), "NTHTAG:%8[0-9A-F]:%d:%d%n", mark, &read.tree.row,
                                &read.tree.tree, &end);
  if (parts != 3 || static_cast<std::size_t>(end) != whole.size()) return {};
  read.state = TagState::other_farm;
  for (const auto& [id, block] : season.blocks()) {
    if (season.block_mark(id) != mark) continue;
    read.block = id;
    read.state = block.block && block.block->has(read.tree) ? TagState::found : TagState::no_tree;
  }
  return read;
}

}  // namespace nthtree::screens
