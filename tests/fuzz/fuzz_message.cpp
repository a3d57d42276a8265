// SPDX-License-Identifier: Apache-2.0
//
// Messages of the protocol: what can be read can be written, and reads back as the same.
#include <cstdint>

#include "sync/message.h"

using namespace nthtree;
using namespace nthtree::sync;

namespace {

template <typename T>
void check(const base::Result<T>& message, base::Result<T> (*read)(const Envelope&)) {
  if (!message) return;
  const std::string once = write(*message);
  const auto envelope = read_envelope(once);
  NTHTREE_ASSERT(envelope.ok());
  const auto again = read(*envelope);
  NTHTREE_ASSERT(again.ok());
  NTHTREE_ASSERT(write(*again) == once);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view body(reinterpret_cast<const char*>(data), size);
  const auto envelope = read_envelope(body);
  if (!envelope) return 0;
  check(read_join_request(*envelope), read_join_request);
  check(read_join_reply(*envelope), read_join_reply);
  check(read_hello_request(*envelope), read_hello_request);
  check(read_hello_reply(*envelope), read_hello_reply);
  check(read_push_request(*envelope), read_push_request);
  check(read_push_reply(*envelope), read_push_reply);
  check(read_pull_request(*envelope), read_pull_request);
  check(read_pull_reply(*envelope), read_pull_reply);
  return 0;
}
