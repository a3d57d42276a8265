// SPDX-License-Identifier: Apache-2.0
#include "screens/season/tag_code.h"

#include "base/text.h"

namespace nthtree::screens {

std::string tag_code(const ledger::Season& season, const std::string& block,
                     const orchard::TreeAddress& tree) {
  const std::string mark = season.block_mark(block);
  return mark.empty() ? "" : base::print("NTHTAG:%s:%d:%d", mark.c_str(), tree.row, tree.tree);
}

TagRead read_tag(const ledger::Season& season, std::string_view text) {
  constexpr std::size_t mark_letters = 8;
  TagRead read;
  if (!base::take_text(text, "NTHTAG:")) return {};
  const std::string_view mark = text.substr(0, mark_letters);
  text.remove_prefix(mark.size());
  const bool is_tag = mark.find_first_not_of("0123456789ABCDEF") == std::string_view::npos &&
                      base::take_text(text, ":") && base::take_number(text, read.tree.row) &&
                      base::take_text(text, ":") && base::take_number(text, read.tree.tree);
  if (!is_tag || !text.empty()) return {};
  read.state = TagState::other_farm;
  for (const auto& [id, block] : season.blocks()) {
    if (season.block_mark(id) != mark) continue;
    read.block = id;
    read.state = block.block && block.block->has(read.tree) ? TagState::found : TagState::no_tree;
  }
  return read;
}

}  // namespace nthtree::screens
