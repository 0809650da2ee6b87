"""What is changed in the interpreter before it is sent: where it is wrong, and where it takes long.

It ends every loop over a generator, a `zip` or the entries of a dictionary with an exception of JavaScript,
and every `get` that finds nothing: a third of a block's time went there. The places are those of the version
that is pinned; another one is refused until somebody has looked.
"""

from __future__ import annotations

_LOOP = (
    "if(next_func !==null){return{\n[Symbol.iterator](){return this},next(){set_lineno(frame,lineno)\ntry{\n"
    "var value=$B.$call(next_func,it)\n"
)
_STEPS = """const itcls=$B.get_class(it),steps=itcls.tp_iternext
const is_generator=itcls===$B.generator,is_builtin=steps?.constructor?.name==='GeneratorFunction'
"""
_STEP = """if(is_generator){const one=$B.generator.tp_funcs.send(it,_b_.None,$B.NULL)
return one===$B.NULL ?{done:true,value:null}:{done:false,value:one}}
if(is_builtin){const one=steps(it).next()
return one.done ?{done:true,value:null}:one}
"""
_SEND = (
    "if(res.value && $B.exact_type(res.value,$GeneratorReturn)){gen.$finished=true\n",
    "$B.RAISE(_b_.StopIteration,res.value.value)}\ngen.gi_running=false\n",
    "if(res.done){$B.RAISE(_b_.StopIteration,res.value)}\nreturn res.value}\n",
)
_ENDS = "if(end===$B.NULL){return end}\n"

CHANGES: tuple[tuple[str, str], ...] = (
    # A loop asks a generator, and what the interpreter itself iterates with, for the next without a call.
    (_LOOP, _STEPS + _LOOP.replace("var value", _STEP + "var value")),
    ("generator_funcs.send=function(self,value){\n", "generator_funcs.send=function(self,value,end){\n"),
    (
        "if(gen.$finished){$B.RAISE(_b_.StopIteration,value)}\nif(gen.gi_running===true)",
        f"if(gen.$finished){{{_ENDS}$B.RAISE(_b_.StopIteration,value)}}\nif(gen.gi_running===true)",
    ),
    (
        "".join(_SEND) + "generator_funcs.throw",
        _SEND[0] + _ENDS + _SEND[1] + _SEND[2].replace("{$B", "{gen.$finished=true\n" + _ENDS + "$B")
        + "generator_funcs.throw",
    ),
    # `next(generator, default)`. Without a default the end is an exception, which has what was returned.
    (
        "if(ga !==$B.NULL){try{\nreturn $B.$call(ga,obj)}catch(err)",
        "if(klass===$B.generator && $.def !==missing){\n"
        "const one=$B.generator.tp_funcs.send(obj,_b_.None,$B.NULL)\nreturn one===$B.NULL ? $.def :one}\n"
        "if(ga !==$B.NULL){try{\nreturn $B.$call(ga,obj)}catch(err)",
    ),
    (
        "try{\nreturn dict.$getitem($.self,$.key,true)}catch(err)",
        "try{\nconst found=dict.$getitem($.self,$.key,$B.NULL)\n"
        "return found===$B.NULL ? $._default :found}catch(err)",
    ),
    (
        "if(missing_method !==_b_.None){return missing_method(self,key)}}}\n$B.RAISE(_b_.KeyError,key)}\n",
        "if(missing_method !==_b_.None){return missing_method(self,key)}}}\n"
        "if(ignore_missing===$B.NULL){return $B.NULL}\n$B.RAISE(_b_.KeyError,key)}\n",
    ),
    # Whatever went wrong in a generator, `all` of it was true.
    (
        "var elt=next(iterable)\nif(!$B.$bool(elt)){return false}}catch(err){return true}}}",
        "var elt=next(iterable,$B.NULL)\nif(elt===$B.NULL){return true}\n"
        "if(!$B.$bool(elt)){return false}}catch(err){throw err}}}",
    ),
    (
        "var _item=next(iterable)\nres=",
        "var _item=next(iterable,$B.NULL)\nif(_item===$B.NULL){break}\nres=",
    ),
)  # fmt: skip
"""What stands in the interpreter, and what is sent in its place."""


def mended(interpreter: str) -> str:
    """The interpreter as it is sent."""
    for there, instead in CHANGES:
        if interpreter.count(there) != 1:
            raise ValueError(f"this version of brython was not looked at: {there!r}")
        interpreter = interpreter.replace(there, instead)
    return interpreter
