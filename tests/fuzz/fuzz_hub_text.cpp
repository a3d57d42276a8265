// SPDX-License-Identifier: Apache-2.0
//
// What reaches the hub's own readers from the network: request paths, join codes, compressed
// bodies; and ledger files, which it imports.
#include <cstdint>

#include "hub/gzip.h"
#include "hub/secret.h"
#include "hub/site.h"
#include "ledger/ledger.h"

using namespace nthtree;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  static const hub::Site site = [] {
    hub::Site made;
    made.add("/index.html", {"x", "", "text/html", "\"t\""});
    return made;
  }();
  if (const hub::SiteFile* file = site.find(text)) NTHTREE_ASSERT(file->bytes == "x");
  if (const auto code = hub::tidy_join_code(text)) NTHTREE_ASSERT(code->size() == 10);
  if (const auto plain = hub::gunzip(text, 65536)) {
    NTHTREE_ASSERT(plain->size() <= 65536);
    NTHTREE_ASSERT(hub::gunzip(hub::gzip(*plain), 65536) == *plain);
  }
  const ledger::LedgerFile file = ledger::read_ledger_file(text);
  for (const ledger::Record& record : file.records) {
    NTHTREE_ASSERT(text.find(record.bytes) != std::string_view::npos);
  }
  return 0;
}
