// What the page carries: texts and arrays, packed with gzip and base64 into script elements that are never run.

async function unpacked(name) {
  const text = document.querySelector(`script[data-pack="${name}"]`).textContent;
  const packed = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

const asText = (buffer) => new TextDecoder().decode(buffer);

// The library, as a module of its own out of the page.
async function library() {
  const address = URL.createObjectURL(new Blob([await unpacked("three")], { type: "text/javascript" }));
  try {
    return await import(address);
  } finally {
    URL.revokeObjectURL(address);
  }
}
