#include "read/gzip_source.hpp"

#include <zlib.h>

#include <algorithm>
#include <limits>
#include <new>
#include <string>

namespace vitalproof::read {

namespace {

constexpr std::size_t packed_piece = std::size_t{1} << 16;
constexpr int gzip_only = 16 + MAX_WBITS;  // zlib.h: 16 more says a gzip header must come

}  // namespace

struct gzip_source::unpacker {
    unpacker() {
        if (inflateInit2(&stream, gzip_only) != Z_OK) {
            throw std::bad_alloc();
        }
    }
    ~unpacker() { inflateEnd(&stream); }
    unpacker(const unpacker&) = delete;
    unpacker& operator=(const unpacker&) = delete;

    z_stream stream{};
    std::unique_ptr<char[]> packed = std::make_unique_for_overwrite<char[]>(packed_piece);
    bool inside_member = true;
    bool fed_up = false;  // the packed bytes have come to their end
};

gzip_source::gzip_source(byte_source& from, std::uint64_t most)
    : from_(from), most_(most), unpacker_(std::make_unique<unpacker>()) {}

gzip_source::~gzip_source() = default;

// Sees to packed bytes; false when there are none, be it the end or a failure.
bool gzip_source::feed() {
    unpacker& u = *unpacker_;
    if (u.stream.avail_in != 0) {
        return true;
    }
    const std::ptrdiff_t got = u.fed_up ? 0 : from_.read(u.packed.get(), packed_piece);
    if (got <= 0) {
        u.fed_up = true;
        trouble_ = got < 0 ? from_.trouble() : std::string{};
        return false;
    }
    u.stream.next_in = reinterpret_cast<Bytef*>(u.packed.get());
    u.stream.avail_in = static_cast<uInt>(got);
    return true;
}

// Behind a member: zeros that fill up a tape or disk block, then the next member or the end.
bool gzip_source::begin_member() {
    z_stream& stream = unpacker_->stream;
    while (feed()) {
        if (*stream.next_in != 0) {
            unpacker_->inside_member = true;
            inflateReset(&stream);
            return true;
        }
        ++stream.next_in;
        --stream.avail_in;
    }
    return false;
}

std::ptrdiff_t gzip_source::read(char* into, std::size_t size) {
    unpacker& u = *unpacker_;
    const auto room =
        static_cast<uInt>(std::min<std::size_t>(size, std::numeric_limits<uInt>::max()));
    u.stream.next_out = reinterpret_cast<Bytef*>(into);
    u.stream.avail_out = room;
    while (trouble_.empty() && u.stream.avail_out == room && room != 0) {
        if (!u.inside_member && !begin_member()) {
            break;
        }
        if (!feed()) {
            trouble_ = trouble_.empty() ? "the gzip archive ends too soon" : trouble_;
            break;
        }
        const int answer = inflate(&u.stream, Z_NO_FLUSH);
        if (answer == Z_STREAM_END) {
            u.inside_member = false;
        } else if (answer != Z_OK && answer != Z_BUF_ERROR) {
            trouble_ = "the gzip archive is damaged";
        }
    }
    auto given = static_cast<std::ptrdiff_t>(room - u.stream.avail_out);
    if (static_cast<std::uint64_t>(given) > most_ - given_) {
        given = static_cast<std::ptrdiff_t>(most_ - given_);
        trouble_ = "the archive unpacks to more than " + std::to_string(most_) +
                   " bytes, the bound of --most-unpacked";
    }
    given_ += static_cast<std::uint64_t>(given);
    return given == 0 && !trouble_.empty() ? -1 : given;
}

}  // namespace vitalproof::read
