// SPDX-License-Identifier: Apache-2.0
//
// The people of a large season, copied out of it, so that "Who are you?" stands before 200,000
// records are read.
//
// The copy is the very records by which each person is in force, with a check sum: they are folded
// as always, into a season that is thrown away when the whole one is there. So it is no second
// truth: one that is behind shows for as long as the reading takes, and a damaged one never.
//
//   if (auto known = read_people_copy(text)) …   // "Who are you?" at once
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ledger/season.h"
#include "sync/record_store.h"

namespace nthtree::app {

inline constexpr const char* people_copy_name = "people";  // among the store's named values
// Below this many records a season is read before a copy of its people would be seen.
inline constexpr std::size_t people_copy_records = 2000;

std::string write_people_copy(const ledger::Season& season, const sync::RecordStore& store);

// A season of these records alone. Empty where the text is not what was written, or without people.
std::optional<ledger::Season> read_people_copy(std::string_view text);

}  // namespace nthtree::app
