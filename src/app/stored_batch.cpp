// SPDX-License-Identifier: Apache-2.0
#include "app/stored_batch.h"

#include <algorithm>
#include <vector>

#include "base/check_sum.h"
#include "base/text.h"
#include "sync/packed_lines.h"

namespace nthtree::app {
namespace {

constexpr std::size_t batch_records_max = 1000;

// The piece up to the next tab, behind which `rest` moves.
std::string_view next_piece(std::string_view& rest) {
  const std::size_t tab = std::min(rest.find('\t'), rest.size());
  const std::string_view piece = rest.substr(0, tab);
  rest.remove_prefix(std::min(tab + 1, rest.size()));
  return piece;
}

template <typename Number>
bool read_number(std::string_view text, Number& number) {
  return base::take_number(text, number) && text.empty();
}

}  // namespace

std::optional<StoredBatch> read_stored_batch(std::string_view text) {
  const std::size_t tab = text.rfind('\t');
  if (tab == std::string_view::npos) return std::nullopt;
  const std::string_view sum = text.substr(tab + 1);
  text = text.substr(0, tab);
  if (sum != base::crc32_text(text)) return std::nullopt;
  StoredBatch batch;
  batch.device = next_piece(text);
  const bool is_headed = read_number(next_piece(text), batch.first) &&
                         read_number(next_piece(text), batch.records);
  if (!is_headed || batch.records == 0 || batch.records > batch_records_max) return std::nullopt;
  batch.packed = text;
  return batch;
}

std::string pack_stored_batch(std::string_view text) {
  std::string_view rest = text;
  for (int field = 0; field < 3; ++field) next_piece(rest);
  const std::string head(text.substr(0, text.size() - rest.size()));
  std::vector<std::string_view> lines;
  while (!rest.empty()) lines.push_back(base::take_line(rest));
  const std::string packed = sync::pack_lines(lines);
  return packed + '\t' + base::crc32_text(head + packed);
}

}  // namespace nthtree::app
