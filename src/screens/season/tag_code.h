// SPDX-License-Identifier: Apache-2.0
//
// What the QR code of a printed tag says: "NTHTAG:9F86D081:3:14", the block's mark, row and tree,
// in the letters of QR's alphanumeric mode (ISO/IEC 18004), so that a small code holds it. The
// mark is made of the record that the block came from, so that no other farm's block has it.
//
//   TagRead read = read_tag(season, text);
//   if (read.state == TagState::found) show(read.block, read.tree);
#pragma once

#include <string>
#include <string_view>

#include "ledger/season.h"
#include "orchard/tree_address.h"

namespace nthtree::screens {

enum class TagState { found, not_a_tag, other_farm, no_tree };

struct TagRead {
  TagState state = TagState::not_a_tag;
  std::string block;
  orchard::TreeAddress tree;
};

// Empty where the block's settings have not arrived.
std::string tag_code(const ledger::Season& season, const std::string& block,
                     const orchard::TreeAddress& tree);
TagRead read_tag(const ledger::Season& season, std::string_view text);

}  // namespace nthtree::screens
