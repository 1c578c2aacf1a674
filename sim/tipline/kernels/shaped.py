"""An array seen in another shape, which compiled code knows where it is written down.

numba's own `reshape` works a shape out as the program runs: where each value lies is then reckoned at every look.

Source: [Own]

Arrays:

array (n,) [SI]: or of more axes, without gaps
"""

from typing import Any

from tipline.kernels.layout import Floats

__all__ = ["known_to_numba", "shaped"]


def shaped(array: Floats, shape: tuple[int, ...]) -> Floats:
    """Return the values of an array, one after the other, in a shape of as many."""
    return array.reshape(shape)


def known_to_numba() -> None:
    """Tell numba how to see an array in another shape: whether it holds as many values is not looked at there."""
    from numba import types
    from numba.core import cgutils
    from numba.extending import lower_builtin, type_callable
    from numba.np.arrayobj import make_array, populate_array

    @type_callable(shaped)
    def type_of(_context: Any) -> Any:
        return lambda array, shape: types.Array(array.dtype, len(shape), "C") if array.layout == "C" else None

    @lower_builtin(shaped, types.Array, types.BaseTuple)
    def view(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        array = make_array(signature.args[0])(context, builder, arguments[0])
        seen = make_array(signature.return_type)(context, builder)
        sizes = [
            context.cast(builder, size, kind, types.intp)
            for size, kind in zip(cgutils.unpack_tuple(builder, arguments[1]), signature.args[1], strict=True)
        ]
        strides = [array.itemsize]
        for size in sizes[:0:-1]:
            strides.insert(0, builder.mul(strides[0], size))
        populate_array(seen, data=array.data, shape=sizes, strides=strides, itemsize=array.itemsize, meminfo=None)
        return seen._getvalue()
