// SPDX-License-Identifier: Apache-2.0
#include "hub/gzip.h"

#include <zlib.h>

#include <algorithm>

#include "base/result.h"

namespace nthtree::hub {
namespace {

constexpr int gzip_window_bits = 16 + MAX_WBITS;  // zlib.h: 16 asks for the gzip form

unsigned char* input(std::string_view bytes) {
  return const_cast<unsigned char*>(reinterpret_cast<const unsigned char*>(bytes.data()));
}

}  // namespace

std::optional<std::string> gunzip(std::string_view bytes, std::size_t bytes_max) {
  z_stream stream{};
  if (inflateInit2(&stream, gzip_window_bits) != Z_OK) return std::nullopt;
  stream.next_in = input(bytes);
  stream.avail_in = static_cast<unsigned>(bytes.size());
  std::string out;
  int code = Z_OK;
  while (code == Z_OK) {
    const std::size_t have = out.size();
    out.resize(std::min(bytes_max + 1, std::max<std::size_t>(have * 2, 4096)));
    stream.next_out = reinterpret_cast<unsigned char*>(out.data() + have);
    stream.avail_out = static_cast<unsigned>(out.size() - have);
    code = inflate(&stream, Z_NO_FLUSH);
    out.resize(out.size() - stream.avail_out);
    if (out.size() > bytes_max) code = Z_BUF_ERROR;
  }
  const bool whole = code == Z_STREAM_END && stream.avail_in == 0;
  inflateEnd(&stream);
  return whole ? std::optional(std::move(out)) : std::nullopt;
}

std::string gzip(std::string_view bytes) {
  z_stream stream{};
  NTHTREE_ASSERT(deflateInit2(&stream, 1, Z_DEFLATED, gzip_window_bits, 8,
                              Z_DEFAULT_STRATEGY) == Z_OK);
  std::string out(deflateBound(&stream, bytes.size()), '\0');
  stream.next_in = input(bytes);
  stream.avail_in = static_cast<unsigned>(bytes.size());
  stream.next_out = reinterpret_cast<unsigned char*>(out.data());
  stream.avail_out = static_cast<unsigned>(out.size());
  NTHTREE_ASSERT(deflate(&stream, Z_FINISH) == Z_STREAM_END);
  out.resize(stream.total_out);
  deflateEnd(&stream);
  return out;
}

}  // namespace nthtree::hub
