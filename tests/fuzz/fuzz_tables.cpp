// SPDX-License-Identifier: Apache-2.0
//
// What people hand to the command line: tables of counts, and the goal of a block as JSON. The
// first byte says which; a table that can be read is the same records after writing and reading.
#include <cstdint>

#include "base/csv.h"
#include "cli/record_csv.h"
#include "ledger/record_table.h"
#include "cli/target_request.h"

using namespace nthtree;

namespace {

void check_table(std::string_view text) {
  const auto rows = base::read_csv(text, 1000);
  if (rows) {
    for (const base::CsvRow& row : *rows) {
      const auto again = base::read_csv(base::csv_line(row), 2);
      if (again && again->size() == 1) NTHTREE_ASSERT(again->front() == row);
    }
  }
  const base::TimeZone zone = base::TimeZone::fixed(120);
  const auto records = cli::records_of_csv(text, zone);
  if (!records) return;
  const auto again = cli::records_of_csv(ledger::record_table(*records, zone), zone);
  NTHTREE_ASSERT(again.ok());
  NTHTREE_ASSERT(again->size() == records->size());
  for (std::size_t i = 0; i < records->size(); ++i) {
    NTHTREE_ASSERT((*again)[i].id == (*records)[i].id);
    NTHTREE_ASSERT((*again)[i].body.index() == (*records)[i].body.index());
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string_view text(reinterpret_cast<const char*>(data) + 1, size - 1);
  if (data[0] == 'j') {
    (void)cli::read_target_request(text).ok();
  } else {
    check_table(text);
  }
  return 0;
}
